/** `wholeturn reduce`, `suggest` and `learn`: one JSON object or sentences, exit 1 with the place for bad input. */
import { copyFileSync, existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { check } from '../../firmware-host/cli/check';
import { learn } from '../../firmware-host/cli/learn';
import { reduce } from '../../firmware-host/cli/reduce';
import { suggest } from '../../firmware-host/cli/suggest';
import { readProgram } from '../../planner/program/read-program';
import { readShelf } from '../../planner/shelf/read-shelf';
import { wholeturn } from '../cli/support';

const VERBS = { check: () => check, reduce: () => reduce, suggest: () => suggest, learn: () => learn };
const EXAMPLES = join(__dirname, '../../planner/examples');
const MEASURED = join(EXAMPLES, 'measured');
const home = mkdtempSync(join(tmpdir(), 'wholeturn-figure-'));
afterAll(() => rmSync(home, { recursive: true, force: true }));

const run = (...args: string[]) => wholeturn(args, home, {}, VERBS);

/** A measurement in a folder of its own, where programs may be written. */
function copied(name: string): string {
  const file = join(mkdtempSync(join(home, 'measured-')), name);
  copyFileSync(join(MEASURED, name), file);
  return file;
}

describe('wholeturn reduce', () => {
  it('leads with the zone, in sentences', async () => {
    const { code, out, err } = await run('reduce', join(MEASURED, 'first.yaml'));
    expect([code, err]).toEqual([0, '']);
    const [, , first, second] = out.split('\n');
    expect(first).toMatch(/^ {2}The zone at (89|90|91) mm stands \d\d nm high/);
    // A ring near the rim is not taken for an edge that stands up.
    expect(second).not.toContain('edge');
  });

  it('--json prints one object with the fields others rely on', async () => {
    const { code, out, err } = await run(
      'reduce',
      join(MEASURED, 'first.yaml'),
      '--reference',
      'highest under',
      '--json',
    );
    expect([code, err]).toEqual([0, '']);
    const found = JSON.parse(out);
    for (const field of ['radiusMm', 'surfaceNm', 'bandNm', 'transverseRelative', 'findings'])
      expect(Array.isArray(found[field])).toBe(true);
    for (const field of ['pvNm', 'rmsNm', 'wavefrontPvWaves', 'wavelengthNm', 'strehl'])
      expect(Number.isFinite(found[field])).toBe(true);
    expect(found.reference).toBe('highest under');
    expect(Math.min(...found.surfaceNm)).toBeGreaterThan(-1e-6);
  });

  it('says where a file is wrong, with exit code 1', async () => {
    const file = join(home, 'wrong.yaml');
    writeFileSync(file, readFileSync(join(MEASURED, 'first.yaml'), 'utf8').replace('60..75', '60..80'));
    const { code, out, err } = await run('reduce', file, '--json');
    expect(code).toBe(1);
    expect(err).toMatch(/wrong\.yaml:9:\d+ windows This window overlaps/);
    expect(JSON.parse(out).complaints[0].line).toBe(9);
  });

  it('reads a table that lies beside the measurement', async () => {
    const folder = mkdtempSync(join(home, 'table-'));
    writeFileSync(
      join(folder, 'profile.yaml'),
      'wholeturn: 1\nmeasurement: profile\nglass: glass-300\nof: surface\ncsv: profile.csv\n',
    );
    const rows = Array.from({ length: 150 }, (_, r) => `${r},${(40 * Math.exp(-(((r - 70) / 15) ** 2))).toFixed(2)}`);
    writeFileSync(join(folder, 'profile.csv'), `radius mm,height nm\n${rows.join('\n')}\n`);
    const { code, out } = await run('reduce', join(folder, 'profile.yaml'));
    expect(code).toBe(0);
    expect(out).toMatch(/The zone at (69|70|71) mm stands (39|40) nm high/);
  });

  it('knows its references', async () => {
    const { code, err } = await run('reduce', join(MEASURED, 'first.yaml'), '--reference', 'level');
    expect(code).toBe(1);
    expect(err).toContain('best fit, highest under');
  });
});

describe('wholeturn learn, then suggest', () => {
  const before = join(MEASURED, 'first.yaml');
  const after = join(MEASURED, 'second.yaml');
  const program = join(EXAMPLES, 'raised-ring.yaml');

  it('learns a coefficient near that of the virtual glass the examples were read from, and keeps it', async () => {
    const { code, out, err } = await run('learn', program, '--before', before, '--after', after, '--json');
    expect([code, err]).toEqual([0, '']);
    const learned = JSON.parse(out);
    // Hidden in the glass: 6.5e-13 per Pa.
    expect(Math.abs(learned.kPerPa - 6.5e-13)).toBeLessThan(2.5 * learned.kSigma * learned.kPerPa);
    expect(learned.kSigma).toBeLessThan(0.3);
    expect(learned.runs).toBe(1);
    expect(learned.shapeResidualNm.length).toBe(learned.radiusMm.length);
    // Told again it is the same run, not another.
    expect(JSON.parse((await run('learn', program, '--before', before, '--after', after, '--json')).out).runs).toBe(1);
  });

  it('says that a virtual run teaches nothing about real glass', async () => {
    const { out } = await run('learn', program, '--before', before, '--after', after);
    expect(out).toContain('nothing of it is used for real glass');
  });

  it('suggests with what was learned: whole turns, two alternatives, programs that read', async () => {
    const file = copied('second.yaml');
    const { code, out, err } = await run('suggest', file, '--lap', 'star-80', '--slurry', 'cerium-fine', '--json');
    expect([code, err]).toEqual([0, '']);
    const suggestion = JSON.parse(out);
    expect(suggestion.kind).toBe('figuring');
    expect(suggestion.predicted.pvNm).toBeLessThan(suggestion.before.pvNm);
    expect(suggestion.minutes).toBeGreaterThan(0);
    expect(typeof suggestion.limitedBy).toBe('string');
    expect(suggestion.stints.every(({ turns }: { turns: number }) => Number.isInteger(turns) && turns > 0)).toBe(true);
    expect(suggestion.alternatives.map(({ name }: { name: string }) => name)).toEqual(['gentlest', 'quickest']);
    const { shelf } = readShelf(readFileSync(join(EXAMPLES, 'shelf.yaml'), 'utf8'), 'shelf.yaml');
    for (const written of [suggestion.file, ...suggestion.alternatives.map((other: { file: string }) => other.file)]) {
      expect(readProgram(readFileSync(written, 'utf8'), written, shelf!).complaints).toEqual([]);
      expect((await run('check', written)).code).toBe(0);
    }
  });

  it('puts the alternatives beside the program it was told to write, not beside the measurement', async () => {
    const file = copied('second.yaml');
    const out = join(mkdtempSync(join(home, 'out-')), 'next.yaml');
    const { code } = await run('suggest', file, '--lap', 'star-80', '--k', '8e-13', '--out', out);
    expect(code).toBe(0);
    expect(readdirSync(dirname(out)).sort()).toEqual(['next-gentlest.yaml', 'next-quickest.yaml', 'next.yaml']);
    expect(readdirSync(dirname(file)).filter((name) => /gentlest|quickest/.test(name))).toEqual([]);
  });

  it('makes no program for a stand of iron from a virtual measurement', async () => {
    const file = copied('first.yaml');
    const stand = join(dirname(file), 'stand.yaml');
    const demo = readFileSync(join(MEASURED, '..', 'stand.yaml'), 'utf8');
    writeFileSync(stand, demo.replace(/^virtual: true.*$/m, 'virtual: false'));
    const { code, err } = await run('suggest', file, '--lap', 'star-80', '--k', '8e-13');
    expect(code).toBe(1);
    expect(err).toMatch(/was read from a virtual glass, and .* is of iron/);
    expect(existsSync(file.replace('.yaml', '-suggested.yaml'))).toBe(false);
  });

  it('begins with a test run where nothing was learned', async () => {
    const file = copied('first.yaml');
    const { code, out } = await run('suggest', file, '--lap', 'round-60');
    expect(code).toBe(0);
    expect(out.replace(/\s+/g, ' ')).toMatch(/A shallow test run comes first.*Test run: \d+ turns at/);
    const text = readFileSync(file.replace('.yaml', '-suggested.yaml'), 'utf8');
    expect(text).toMatch(/^# Test run: \d+ turns at [\d.]+ mm with Round lap/);
  });

  it.each([
    ['a lap that is not there', ['--lap', 'square'], /There is no lap "square"/],
    ['a rate without unit', ['--rate', '44'], /--rate: "44" has no unit/],
    ['nothing that is enough', ['--enough=-1'], /--enough wants a number, not below 0/],
  ])('complains about %s and writes nothing', async (_, options, message) => {
    const file = copied('first.yaml');
    const { code, err } = await run('suggest', file, ...options);
    expect(code).toBe(1);
    expect(err).toMatch(message);
    expect(existsSync(file.replace('.yaml', '-suggested.yaml'))).toBe(false);
  });

  it.each([
    [['learn', program], /--before and --after/],
    [['learn', '--before', before, '--after', after], /either the program or --run/],
    [['learn', '--run', 'none', '--before', before, '--after', after], /There is no run "none"/],
  ])('%j is put right in words', async (args, message) => {
    const { code, err } = await run(...args);
    expect(code).toBe(1);
    expect(err).toMatch(message);
  });
});
