import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { Logbook } from '../../firmware-host/logbook/logbook';
import type { RunReport } from '../../firmware-host/run/types';
import { BEFORE_LEARNING } from '../../planner/learn/combine';
import { planProgram } from '../../planner/path/plan';
import { readProgram } from '../../planner/program/read-program';
import { prepareRemoval, profileNm } from '../../planner/removal/removal';
import { readShelf } from '../../planner/shelf/read-shelf';
import { readStand } from '../../planner/stand/read-stand';
import type { ProgramSummary } from '../../planner/steps/summary';
import { wholeturn } from './support';

const EXAMPLES = join(__dirname, '..', '..', 'planner', 'examples');
const PROGRAMS = readdirSync(EXAMPLES).filter((name) => /\.yaml$/.test(name) && !/^(shelf|stand)\./.test(name));

let home: string;
beforeAll(() => {
  home = mkdtempSync(join(tmpdir(), 'wholeturn-rehearse-'));
});
afterAll(() => rmSync(home, { recursive: true }));

function forecastPeakNm(name: string): number {
  const read = (file: string): string => readFileSync(join(EXAMPLES, file), 'utf8');
  const program = readProgram(read(name), name, readShelf(read('shelf.yaml'), 'shelf.yaml').shelf!).program!;
  const { path } = planProgram(program, readStand(read('stand.yaml'), 'stand.yaml').stand!);
  const { lap, glass } = program;
  const task = { path, lap, glass, kPerPa: BEFORE_LEARNING.kPerPa, ringStepMm: 1, pointStepMm: 2.5 };
  return Math.max(...profileNm(prepareRemoval(task)));
}

describe.each(PROGRAMS)('%s', (name) => {
  test('ends where it was compiled to end, step by step', async () => {
    const compiled = await wholeturn(['compile', join(EXAMPLES, name), '--json'], home);
    expect([compiled.code, compiled.err]).toEqual([0, '']);
    const summary = JSON.parse(compiled.out) as ProgramSummary;
    const rehearsed = await wholeturn(['rehearse', join(EXAMPLES, name), '--json'], home);
    expect([rehearsed.code, rehearsed.err]).toEqual([0, '']);
    expect(rehearsed.out.trim().split('\n')).toHaveLength(1);
    const { virtualGlass, ...report } = JSON.parse(rehearsed.out) as RunReport & { virtualGlass: { peakNm: number } };
    // What the steps wore off a level glass is what the forecast says.
    expect(virtualGlass.peakNm / forecastPeakNm(name)).toBeCloseTo(1, 2);
    expect(report).toMatchObject({
      state: 'Complete',
      turnsWalked: summary.turns,
      endSteps: summary.endSteps,
      travelSteps: summary.travelSteps,
      slipSteps: 0,
      underruns: 0,
      droopTicks: 0,
    });
    expect(report.durationSeconds).toBeGreaterThan(summary.durationSeconds);

    const logbook = Logbook.open(join(home, 'logbook.db'));
    expect(logbook.run(report.runId)).toMatchObject({ virtual: true, kind: 'rehearsal', report });
    // A place at least every turn and every 5 s of the walk.
    const places = logbook.checkpoints(report.runId);
    expect(places.length).toBeGreaterThanOrEqual(summary.durationSeconds / 5.1);
    for (let i = 1; i < places.length; i++) expect(places[i]!.turnsWalked - places[i - 1]!.turnsWalked).toBeLessThan(1);
    logbook.close();
  });
});

test('compile and rehearse have the fields that others rely on', async () => {
  const program = join(EXAMPLES, 'short-check.yaml');
  const compiled = JSON.parse((await wholeturn(['compile', program, '--json'], home)).out);
  expect(Object.keys(compiled)).toEqual(
    expect.arrayContaining(['turns', 'strokes', 'durationSeconds', 'segments', 'endSteps', 'travelSteps', 'stints']),
  );
  expect(Object.keys(compiled.stints[0])).toEqual(
    expect.arrayContaining([
      'turns',
      'strokes',
      'strokesPerTurn',
      'nudges',
      'clockings',
      'rateDeviation',
      'distinctAzimuths',
      'evenness',
      'warnings',
    ]),
  );
  expect(JSON.parse((await wholeturn(['check', program, '--json'], home)).out)).toEqual({ ok: true, complaints: [] });
});

test('a page an optician can read, unmistakably virtual; progress only where somebody watches', async () => {
  const program = join(EXAMPLES, 'short-check.yaml');
  const quiet = await wholeturn(['rehearse', program], home);
  expect(quiet.err).toBe('');
  expect(quiet.out.match(/VIRTUAL STAND: a rehearsal\. Nothing of iron moves and no glass is touched\./g)).toHaveLength(
    2,
  );
  for (const words of [
    'What will happen: 4 whole turns',
    'Done: 4 whole turns of 4',
    'Evenness',
    'to the step',
    'marked virtual',
    'Least evenness of a stint 1.00 (1 is perfectly even; below 0.7 it warns)',
  ])
    expect(quiet.out.replace(/\s+/g, ' ')).toContain(words);
  expect(quiet.out.trimEnd().split('\n').at(-1)).toMatch(
    /^Next: npm start -- \S*short-check\.yaml, to watch it in the browser;/,
  );
  const watched = await wholeturn(['rehearse', program, '--speed', '100'], home, { terminal: true });
  expect(watched.code).toBe(0);
  expect(watched.err).toMatch(/Turn \d\.\d of 4 \| .* \| \d+ strokes?, \d+ nudges?, \d+ clockings? \| .* left/);
});

test('ended by the person it stops in order, keeps what happened, and says that it is not done', async () => {
  const program = join(EXAMPLES, 'raised-ring.yaml');
  const interrupt = (stop: () => void): (() => void) => {
    setImmediate(stop);
    return () => {};
  };
  const { code, out, err } = await wholeturn(['rehearse', program, '--json'], home, { onInterrupt: interrupt });
  const { virtualGlass: _, ...report } = JSON.parse(out) as RunReport & { virtualGlass: unknown };
  expect([code, err, report.state]).toEqual([2, '', 'Stopped']);
  expect(report.turnsWalked).toBeLessThan(33);
  const logbook = Logbook.open(join(home, 'logbook.db'));
  expect(logbook.run(report.runId)).toMatchObject({ state: 'Stopped', report });
  logbook.close();
});

describe('on an emulated chip', () => {
  const program = join(EXAMPLES, 'short-check.yaml');
  const standWith = (lines: string): string => {
    const file = join(home, 'iron.yaml');
    writeFileSync(file, readFileSync(join(EXAMPLES, 'stand.yaml'), 'utf8') + lines);
    return file;
  };

  test('of another board than the stand has: refused, naming both', async () => {
    const stand = standWith('board: small\n');
    const { code, out, err } = await wholeturn(['rehearse', program, '--stand', stand, '--chip', 'atmega2560'], home);
    expect(err).toBe(
      `--chip atmega2560 is the chip of the reference board, but ${stand} says "board: small". Write --chip atmega328p.\n`,
    );
    expect([code, out]).toEqual([1, '']);
  });

  test('it says beforehand about how long that takes, by the pace, and not on stdout', async () => {
    const stand = standWith('board: small\n');
    const args = ['rehearse', program, '--stand', stand, '--chip', 'atmega328p', '--pace', '0.5', '--json'];
    const onInterrupt = (stop: () => void): (() => void) => {
      setImmediate(stop);
      return () => {};
    };
    const { out, err } = await wholeturn(args, home, { onInterrupt });
    expect(err).toMatch(/^Walking on an emulated ATmega328P takes up to about as long as on iron, here 3 min 1\d s;/);
    expect(JSON.parse(out)).toMatchObject({ state: 'Stopped' });
  });
});

test('the logbook lists what was run', async () => {
  const listed = await wholeturn(['logbook', '--last', '3'], home);
  expect(listed.out.trim().split('\n')).toHaveLength(3);
  expect(listed.out).toMatch(/virtual {2}\S+ {2}.*: Done, 4 of 4 turns in/);
  expect(listed.out).toMatch(/virtual {2}\S+ {2}.*: Stopped, 0\S* of 33 turns in/);
  const json = JSON.parse((await wholeturn(['logbook', '--json'], home)).out);
  expect(json).toMatchObject({ leftOpen: [], file: join(home, 'logbook.db') });
});
