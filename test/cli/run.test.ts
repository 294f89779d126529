/** What `run` refuses before anything is sent to a stand. Real runs over a port: test/ci/serial-pty.test.ts. */
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { runCommandLine } from '../../firmware-host/cli/command-line';
import { run } from '../../firmware-host/cli/run';
import type { Surroundings } from '../../firmware-host/cli/verb';
import { Logbook } from '../../firmware-host/logbook/logbook';

const EXAMPLES = join(__dirname, '..', '..', 'planner', 'examples');
const PROGRAM = join(EXAMPLES, 'short-check.yaml');
const BY_HAND = join(EXAMPLES, 'by-hand.yaml');

let home: string;
let iron: string;
beforeEach(() => {
  home = mkdtempSync(join(tmpdir(), 'wholeturn-run-'));
  iron = join(home, 'iron.yaml');
  const demo = readFileSync(join(EXAMPLES, 'stand.yaml'), 'utf8');
  writeFileSync(
    iron,
    demo.replace('virtual: true', 'virtual: false').replace('commissioned: false', 'commissioned: true'),
  );
});
afterEach(() => rmSync(home, { recursive: true }));

/** `typed`: the lines of a person at a terminal; without it nobody is there. */
async function wholeturn(args: readonly string[], typed?: string[]) {
  const said = { code: 0, out: '', err: '' };
  const surroundings: Surroundings = {
    out: (text) => {
      said.out += text;
    },
    err: (text) => {
      said.err += text;
    },
    terminal: typed !== undefined,
    environment: { WHOLETURN_HOME: home, USER: 'Ada' },
    onInterrupt: () => () => {},
  };
  if (typed !== undefined)
    surroundings.onLine = (listener) => {
      setImmediate(() => listener(typed.shift() ?? ''));
      return () => {};
    };
  said.code = await runCommandLine(args, { run: () => run }, surroundings);
  return said;
}

function acknowledged(): string[] {
  const logbook = Logbook.open(join(home, 'logbook.db'));
  const names = logbook.cautionsAcknowledged();
  logbook.close();
  return names;
}

test('without a port: how to find one, exit code 1', async () => {
  const { code, err } = await wholeturn(['run', PROGRAM, '--stand', iron]);
  expect(err).toContain('Name the port of the controller: --port PORT. "wholeturn ports" lists what there is.');
  expect(code).toBe(1);
});

test('a stand that is not commissioned: which page to go through, exit code 2', async () => {
  writeFileSync(iron, readFileSync(iron, 'utf8').replace('commissioned: true', 'commissioned: false'));
  for (const more of [[], ['--air']]) {
    const { code, out, err } = await wholeturn([
      'run',
      PROGRAM,
      '--port',
      '/dev/ttyNone',
      '--stand',
      iron,
      '--json',
      ...more,
    ]);
    expect(err).toMatch(/^The stand "Demo stand" is not commissioned, so nothing was sent to it\..*COMMISSIONING\.md/);
    expect(err).toContain(`"commissioned: true" is written in ${iron} by you, at the step before the first motion`);
    expect(JSON.parse(out)).toMatchObject({ ok: false, trouble: expect.stringContaining('not commissioned') });
    expect(code).toBe(2);
  }
});

test('no stand is named: that first, and not to declare the demo stand commissioned', async () => {
  const { code, err } = await wholeturn(['run', PROGRAM, '--port', '/dev/ttyNone']);
  expect(err).toMatch(/^Name your own stand with --stand FILE: "Demo stand" in .*stand\.yaml is a virtual one/);
  expect(err).not.toMatch(/true" in|written in/);
  expect(code).toBe(2);
});

test('cautions are read before the first real run, and only typing yes acknowledges them', async () => {
  const args = ['run', PROGRAM, '--port', '/dev/ttyNone', '--stand', iron];
  const unattended = await wholeturn(args);
  expect(unattended.err).toContain('Ada has not acknowledged the cautions yet.');
  expect(unattended.code).toBe(2);
  const no = await wholeturn(args, ['y']);
  expect(no.err).toContain('hard-wired latching');
  expect(no.err).toContain('The cautions were not acknowledged; nothing has moved.');
  expect(no.code).toBe(2);
  expect(acknowledged()).toEqual([]);
  const yes = await wholeturn(args, ['yes']);
  expect(yes.err).toContain('There is no port /dev/ttyNone.');
  expect(yes.code).toBe(2);
  expect(acknowledged()).toEqual(['Ada']);
  const again = await wholeturn(args);
  expect(again.err).not.toContain('cautions');
  expect(again.err).toContain('There is no port /dev/ttyNone.');
});

test('another person reads them anew', async () => {
  const args = ['run', PROGRAM, '--port', '/dev/ttyNone', '--stand', iron];
  await wholeturn(args, ['yes']);
  const other = await wholeturn([...args, '--person', 'Grace']);
  expect(other.err).toContain('Grace has not acknowledged the cautions yet.');
});

test('a program with clocking by hand needs somebody at the terminal', async () => {
  const { code, err } = await wholeturn(['run', BY_HAND, '--port', '/dev/ttyNone', '--stand', iron]);
  expect(err).toContain('In this program a person turns the lap by hand. Run it at a terminal; nothing has moved.');
  expect(code).toBe(2);
});
