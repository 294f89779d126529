import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { wholeturn } from './support';

const ROOT = join(__dirname, '..', '..');
const GOOD = join(ROOT, 'planner', 'examples', 'short-check.yaml');

let home: string;
beforeAll(() => {
  home = mkdtempSync(join(tmpdir(), 'wholeturn-cli-'));
});
afterAll(() => rmSync(home, { recursive: true }));

function file(name: string, content: string | Uint8Array): string {
  const path = join(home, name);
  writeFileSync(path, content);
  return path;
}

const STINT = '{ turns: 2, stroke: straight, at: 90 mm, length: 80 mm }';
const programText = (stint: string, head = ''): string =>
  `wholeturn: 1\ntitle: x\nglass: glass-300\nlap: star-80\nturntable: 2.5 rpm\nrate: 44 /min\n${head}do:\n  - ${stint}\n`;

describe.each(['check', 'compile', 'rehearse'])('%s', (verb) => {
  test.each([
    ['nothing', () => [], /^Something is missing\. Usage: wholeturn /],
    ['two programs', () => [GOOD, GOOD], /^".*short-check\.yaml" is too much\. Usage/],
    ['an option that does not exist', () => [GOOD, '--fastest'], /^There is no option --fastest\. Usage/],
    ['an option mistyped', () => [GOOD, '--shef', 'x'], /^There is no option --shef\. Did you mean --shelf\? Usage/],
    ['a short option', () => [GOOD, '-s'], /^There is no option -s\. Usage/],
    ['an option without its value', () => [GOOD, '--shelf'], /^--shelf wants a value\. Usage/],
    [
      'an option where its value is wanted',
      () => [GOOD, '--shelf', '--stand', 'x'],
      /^--shelf wants a value; write --shelf=--stand if "--stand" is it\. Usage/,
    ],
    ['a value that is not wanted', () => [GOOD, '--json=yes'], /^--json takes no value\. Usage/],
    ['a file that is not there', () => [join(home, 'none.yaml')], /none\.yaml:1:1 There is no such file/],
    ['a folder', () => [home], /:1:1 This is a folder/],
    ['an empty file', () => [file('empty.yaml', '')], /empty\.yaml:1:1 The file is empty/],
    ['a picture', () => [file('glass.png', Uint8Array.from([0x89, 0x50, 0x4e, 0x47, 0, 0xff]))], /not text/],
    ['text with zero bytes', () => [file('zero.yaml', 'wholeturn: 1\0')], /not text/],
    ['a file far too large', () => [file('huge.yaml', `# ${'x'.repeat(1_100_000)}`)], /far too large/],
    ['a poem', () => [file('poem.txt', 'Twinkle, twinkle, little star\n')], /poem\.txt:1:1/],
    ['half a program', () => [file('half.yaml', 'wholeturn: 1\ntitle: x\n')], /half\.yaml:\d+:\d+/],
    [
      'a stroke off the glass',
      () => [file('off.yaml', programText(STINT.replace('90 mm', '190 mm')))],
      /off\.yaml:8:\d+ entry 1 \(do\[0\]\.at\) /,
    ],
    [
      'a stroke off the glass, in a repeat',
      () => [file('deep.yaml', programText(`{ repeat: 2, do: [ ${STINT}, ${STINT.replace('90 mm', '190 mm')} ] }`))],
      /deep\.yaml:8:\d+ entry 1\.2 \(do\[0\]\.do\[1\]\.at\) /,
    ],
    [
      'a stroke the stand cannot follow',
      () => [file('fast.yaml', programText(STINT.replace('}', ', rate: 110 /min }')))],
      /fast\.yaml:8:1 length .*stroke slide/,
    ],
    ['a shelf that is not there', () => [GOOD, '--shelf', join(home, 'none')], /none:1:1 There is no such file/],
    ['a stand that is a shelf', () => [GOOD, '--stand', join(ROOT, 'planner/examples/shelf.yaml')], /shelf\.yaml:\d+/],
  ] as [string, () => string[], RegExp][])('%s: a complaint on stderr, exit code 1', async (_what, args, words) => {
    const { code, out, err } = await wholeturn([verb, ...args()], home);
    expect(err).toMatch(words);
    expect(err).not.toMatch(/fault of Wholeturn|undefined|NaN|\bat .*\.ts:/);
    expect(out).toBe('');
    expect(code).toBe(1);
  });

  test('with --json exactly one object on stdout all the same', async () => {
    const { code, out, err } = await wholeturn([verb, join(home, 'none.yaml'), '--json'], home);
    expect(code).toBe(1);
    expect(JSON.parse(out)).toEqual({
      ok: false,
      complaints: [
        {
          file: join(home, 'none.yaml'),
          line: 1,
          column: 1,
          field: '',
          message: expect.stringContaining('no such file'),
        },
      ],
    });
    expect(out.trim().split('\n')).toHaveLength(1);
    expect(err).toMatch(/none\.yaml:1:1/);
  });
});

describe('the command line itself', () => {
  test('a verb that does not exist', async () => {
    const { code, err } = await wholeturn(['polish'], home);
    expect(err).toMatch(/^There is no verb "polish"\. There are: check, compile/);
    expect(code).toBe(1);
  });

  test('--json may stand before the verb', async () => {
    const { out, code } = await wholeturn(['--json', 'check', join(home, 'none.yaml')], home);
    expect(JSON.parse(out)).toMatchObject({ ok: false, complaints: [{ file: join(home, 'none.yaml') }] });
    expect(code).toBe(1);
  });

  test('no verb: the list, and exit code 1; help: the list, and 0', async () => {
    const none = await wholeturn([], home);
    const help = await wholeturn(['help'], home);
    expect(none.code).toBe(1);
    expect(help.code).toBe(0);
    expect(help.out).toBe(none.out);
    for (const verb of ['check', 'compile', 'rehearse', 'logbook']) expect(help.out).toContain(verb);
  });

  test('help of a verb names its options', async () => {
    const help = await wholeturn(['help', 'rehearse'], home);
    expect(await wholeturn(['rehearse', '--help'], home)).toEqual(help);
    for (const option of ['--speed', '--shelf', '--stand', '--logbook']) expect(help.out).toContain(option);
  });

  test('what is wrong with the command is told to programs with the fields of any complaint', async () => {
    const { out } = await wholeturn(['check', GOOD, '--sped', '2', '--json'], home);
    const complaint = { file: 'wholeturn', line: 1, column: 1, field: '', message: expect.stringContaining('--sped') };
    expect(JSON.parse(out)).toEqual({ ok: false, complaints: [complaint] });
  });

  test('a speed that is none', async () => {
    const { code, err } = await wholeturn(['rehearse', GOOD, '--speed', 'slowly'], home);
    expect(err).toMatch(/--speed is fast, real, or a number above 0/);
    expect(code).toBe(1);
  });

  test('a logbook that is a folder is bad input; one that cannot be written is machine trouble', async () => {
    const folder = await wholeturn(['rehearse', GOOD, '--logbook', home], home);
    expect([folder.code, folder.err]).toEqual([1, expect.stringContaining('is a folder')]);
    const under = await wholeturn(['rehearse', GOOD, '--logbook', join(file('plain', ''), 'x', 'l.db')], home);
    expect([under.code, under.err]).toEqual([2, expect.stringContaining('cannot be opened')]);
  });
});

test('as a process: words on stderr, nothing on stdout, exit code 1', () => {
  const { status, stdout, stderr } = spawnSync(
    process.execPath,
    ['-r', 'ts-node/register/transpile-only', join(ROOT, 'firmware-host', 'cli', 'main.ts'), 'check', home],
    { cwd: ROOT, encoding: 'utf8' },
  );
  expect(stderr).toMatch(/:1:1 This is a folder\./);
  expect(stdout).toBe('');
  expect(status).toBe(1);
});
