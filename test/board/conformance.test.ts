/** From the command line to a report: refusals in words, exit codes, and a short session over serialport's mock. */
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { Surroundings } from '../../firmware-host/cli/verb';
import { imageHash } from '../../firmware-host/controller/images';
import type { ToHost } from '../../firmware-host/wire/frame-table';
import { type Device, PATH, SerialBench } from '../serial/bench';
import { virtualPort } from '../wire/conformance/virtual-port';
import { conformance, exitCodeOf } from './conformance';
import { faulty } from './faulty-board';
import { Workbench } from './workbench';

const DWELL = 'a dwell is walked and moves nothing';
const DAMAGE = 'a frame with a wrong CRC is dropped and counted';
const HANDS = 'a drive fault with the drives off is no stop';

let folder: string;
let file: string;
let bench: SerialBench;

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'wholeturn-board-'));
  file = join(folder, 'report.md');
  bench = new SerialBench();
});
afterEach(() => rmSync(folder, { recursive: true }));

/** A bare board behind the mock's cable. */
function connect(change: (frame: ToHost) => ToHost | null = (frame) => frame): Workbench {
  const workbench = new Workbench(() => faulty(virtualPort(), change), 'reference');
  bench.simulation.add(workbench);
  const device: Device = {
    receive: (bytes) => workbench.write(Uint8Array.from(bytes)),
    take: () => Buffer.concat(workbench.said.splice(0)),
  };
  bench.connect(device);
  return workbench;
}

interface Run {
  args?: string[];
  only?: string[];
  /** Typed when the words are shown. */
  types?(words: string): string | undefined;
  /** Null: nobody can type. */
  workbench?: Workbench | null;
  /** Ctrl+C when this is shown. */
  interruptAt?: string | null;
}

/** What a person types who has no instrument. */
function willing(words: string): string | undefined {
  if (words.includes('Type bare')) return 'bare';
  if (words.includes('Expected: ')) return 'no';
  return /press enter/i.test(words) ? '' : undefined;
}

async function run({
  args = ['--port', PATH, '--report', file],
  types = willing,
  workbench = null,
  only = [DWELL],
  interruptAt = null,
}: Run) {
  const said = { out: '', err: '' };
  const lines = new Set<(line: string) => void>();
  const stops = new Set<() => void>();
  const call: Surroundings = {
    out: (text) => {
      said.out += text;
    },
    err(words) {
      said.err += words;
      workbench?.obey(words);
      if (interruptAt !== null && words.includes(interruptAt)) for (const stop of [...stops]) stop();
      const answer = types(words);
      if (answer !== undefined)
        setImmediate(() => {
          for (const line of [...lines]) line(answer);
        });
    },
    terminal: true,
    environment: {},
    onInterrupt(stop) {
      stops.add(stop);
      return () => stops.delete(stop);
    },
    onLine(listener) {
      lines.add(listener);
      return () => lines.delete(listener);
    },
  };
  const { clock } = bench.simulation;
  const world = { clock, date: new Date(2026, 0, 2, 3, 4), ports: bench.ports, only };
  const code = await settled(conformance(args, call, world));
  return { code, ...said };
}

/** Time goes on only while somebody waits for it: the thread of the cases needs real time to think, and none of the board's. */
async function settled<T>(promise: Promise<T>): Promise<T> {
  const { clock } = bench.simulation;
  let over = false;
  const mark = (): void => {
    over = true;
  };
  promise.then(mark, mark);
  while (!over) {
    if (clock.nextDue() === Number.POSITIVE_INFINITY) await new Promise((resolve) => setTimeout(resolve, 1));
    else await bench.until(() => over || clock.nextDue() === Number.POSITIVE_INFINITY, 1);
  }
  return promise;
}

describe('nothing is sent to a board', () => {
  test('without a port, with a word too much, over a report that is there', async () => {
    expect(await run({ args: [] })).toMatchObject({ code: 1 });
    expect((await run({ args: ['--port', PATH, '--speed', '2'] })).code).toBe(1);
    writeFileSync(file, 'kept');
    const { code, err } = await run({});
    expect([code, readFileSync(file, 'utf8')]).toEqual([1, 'kept']);
    expect(err).toContain('is there already, and a report is never written over');
    expect(bench.opened).toEqual([]);
  });

  test('before the person has typed that the board is bare', async () => {
    const { code, err } = await run({ types: (words) => (words.includes('Type bare') ? 'yes' : undefined) });
    expect(code).toBe(2);
    expect(err).toContain('the bare board may be joined to this computer');
    expect(err).toContain('asks somebody qualified first');
    expect(bench.opened).toEqual([]);
    expect(existsSync(file)).toBe(false);
  });
});

describe('a port without our board', () => {
  test('nothing answers', async () => {
    bench.connect({ receive: () => {}, take: () => new Uint8Array() });
    const { code, err } = await run({});
    expect(code).toBe(2);
    expect(err).toContain(`Nothing answers on ${PATH}.`);
  });

  test('other firmware', async () => {
    let said: number[] = [];
    bench.connect({
      receive: () => {
        said = [0xf9, 2, 5, 0xf0, 0x79, 2, 5, 0x41, 0, 0xf7];
      },
      take: () => Uint8Array.from(said.splice(0)),
    });
    const { code, err } = await run({});
    expect(code).toBe(2);
    expect(err).toContain('runs other firmware (A 2.5)');
  });

  test('an image of another version', async () => {
    connect((frame) => (frame.name === 'opened' ? { ...frame, imageHash: imageHash() ^ 1 } : frame));
    const { code, err } = await run({});
    expect(code).toBe(2);
    expect(err).toMatch(
      /The board runs image [0-9a-f]{8}, this version's is [0-9a-f]{8}: an older one, a newer one, or/,
    );
    expect(existsSync(file)).toBe(false);
  });

  test('no such port', async () => {
    const { code, err } = await run({ args: ['--port', '/dev/ttyNone', '--report', file] });
    expect(code).toBe(2);
    expect(err).toContain('There is no port /dev/ttyNone');
  });
});

describe('a short session in two threads', () => {
  test('passes, and the report says so', async () => {
    const workbench = connect();
    const { code, out, err } = await run({
      args: ['--port', PATH, '--report', file, '--person', 'A. Tester'],
      only: [DWELL, DAMAGE, HANDS],
      workbench,
    });
    expect(code, err).toBe(0);
    expect(out).toBe(
      `Done: 3 passed, 0 failed, 10 not done, 0 not reached, 0 not checked on a board. No safety function was tested. Report: ${file}\n`,
    );
    const report = readFileSync(file, 'utf8');
    const hash = imageHash().toString(16).padStart(8, '0');
    for (const row of ['board | virtual board', `image | ${hash}`, `port | ${PATH}`, 'person | A. Tester'])
      expect(report).toContain(`| ${row} |`);
    expect(report).toContain('| begun | 2026-01-02 03:04 |');
    expect(report).toMatch(/\| firmware \| Wholeturn \d+\.\d+ \|/);
    expect(bench.opened.every((port) => !port.isOpen)).toBe(true);
  });

  test('a case that fails, and then Ctrl+C: exit code 2, and the report as far as it got', async () => {
    const workbench = connect((frame) => (frame.name === 'status' ? { ...frame, crcErrors: 0 } : frame));
    const { code, out, err } = await run({ only: [DWELL, DAMAGE], workbench, interruptAt: 'With an instrument' });
    expect(code).toBe(2);
    expect(out).toContain('Not gone through to the end: 1 passed, 1 failed, 0 not done, 10 not reached');
    expect(err).toContain('The drives were asked off');
    const report = readFileSync(file, 'utf8');
    expect(report).toContain('| ended | The person ended it. |');
    expect(report).toContain(`- Section 4: ${DAMAGE}. What was seen: `);
    expect(workbench.board.pins!.drivesOn()).toBe(false);
  });
});

test('the exit code is 0 only where all was gone through and nothing failed', () => {
  const counts = { passed: 3, failed: 0, 'not done': 2, 'not reached': 0, 'not checked on a board': 1 };
  expect(exitCodeOf({ counts, complete: true })).toBe(0);
  expect(exitCodeOf({ counts, complete: false })).toBe(2);
  expect(exitCodeOf({ counts: { ...counts, failed: 1 }, complete: true })).toBe(2);
});
