/**
 * The suite for a board on a table over a real serial port of the operating system: a pair of pseudo-terminals joined by socat, the
 * emulated reference board with its wires at the other end. Time is the chip's, and stands still while bytes are on their way.
 */
import { type ChildProcess, spawn } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { SerialPort } from 'serialport';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { Surroundings } from '../../firmware-host/cli/verb';
import { readPins } from '../../firmware-host/controller/pin-table';
import { machinePorts, type Port, type Ports } from '../../firmware-host/stand/serial/port';
import { Simulation } from '../../firmware-host/virtual/simulation';
import { bareBoard } from '../board/bare-port';
import { conformance } from '../board/conformance';
import { Report } from '../board/report';
import { rowsOf, Session } from '../board/session';
import { Table, willing } from '../board/table';
import { Workbench } from '../board/workbench';
import { CASES } from '../wire/conformance';
import { chipPort } from '../wire/conformance/chip-port';

const OVER_THE_LINE = [
  'fewer than 20 ticks are refused',
  'full pace walks one path tick each tick, a level k the share S(k) of it',
  'the ramp from rest to full pace takes the ramp time of the open, level by level, leaving out 1 to 3',
  'a sequenced frame is acknowledged at once',
  'a silent host: the walk eases on its path, the lap rises, the drives hold; motion goes on only by a new pace',
];
const BOOT = 'a boot comes up still: drives off, position lost, lap up';
const GUARD = 'guard: eases on the path, then drives off, lap up; refused while open';

let folder: string;
let socat: ChildProcess;
let ends: [string, string];
let farEnd: SerialPort;
let simulation: Simulation;
let bench: Workbench;
/** Bytes put into the line at each end, and come out of it at the other. */
let count: { toBoard: [number, number]; toHost: [number, number] };

beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'wholeturn-board-'));
  ends = [join(folder, 'host'), join(folder, 'board')];
  socat = spawn(
    'socat',
    ends.map((path) => `pty,raw,echo=0,link=${path}`),
  );
  while (!ends.every((path) => existsSync(path))) await turn();
  count = { toBoard: [0, 0], toHost: [0, 0] };
  farEnd = new SerialPort({ path: ends[1], baudRate: 250_000 });
  await new Promise((resolve) => farEnd.once('open', resolve));
  bench = new Workbench(() => chipPort('reference'), 'reference');
  simulation = new Simulation();
  simulation.add(bench);
  farEnd.on('data', (bytes: Buffer) => {
    count.toBoard[1] += bytes.length;
    bench.write(Uint8Array.from(bytes));
  });
});

afterEach(async () => {
  if (farEnd.isOpen) await new Promise<void>((resolve) => farEnd.close(() => resolve()));
  socat.kill();
  rmSync(folder, { recursive: true });
});

function turn(): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, 1));
}

/** The machine's ports, with an eye on what goes through; nobody listens to the one that is closed. */
let open: Port | undefined;
const ports: Ports = {
  list: () => machinePorts.list(),
  make(path, baudRate) {
    const port = machinePorts.make(path, baudRate);
    const write = port.write.bind(port) as (bytes: Uint8Array) => boolean;
    port.write = ((bytes: Uint8Array) => {
      count.toBoard[0] += bytes.length;
      return write(bytes);
    }) as typeof port.write;
    port.on('data', (bytes: Buffer) => {
      count.toHost[1] += bytes.length;
    });
    open = port;
    return port;
  },
};

/** Until what was put in at one end has come out at the other; a line that is cut carries nothing any more. */
async function carried(): Promise<void> {
  await new Promise(setImmediate);
  for (const said of bench.said.splice(0)) {
    if (!open?.isOpen || !farEnd.isOpen) continue;
    count.toHost[0] += said.length;
    farEnd.write(Buffer.from(said));
  }
  while (open?.isOpen && farEnd.isOpen && (count.toHost[0] > count.toHost[1] || count.toBoard[0] > count.toBoard[1]))
    await turn();
  if (!open?.isOpen) count = { toBoard: [0, 0], toHost: [0, 0] };
}

async function held(only: string[], shows: (words: string) => void = () => {}) {
  const file = join(folder, 'report.md');
  const said = { out: '', err: '' };
  const listeners = new Set<(line: string) => void>();
  const call: Surroundings = {
    out: (text) => {
      said.out += text;
    },
    err(words) {
      said.err += words;
      bench.obey(words);
      const types = /Type bare/.test(words) ? 'bare' : /Expected: /.test(words) ? 'no' : '';
      if (types !== '' || /press enter/i.test(words))
        setImmediate(() => {
          for (const listener of [...listeners]) listener(types);
        });
      shows(words);
    },
    terminal: true,
    environment: {},
    onInterrupt: () => () => {},
    onLine(listener) {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
  };
  const { clock } = simulation;
  const world = { clock, date: new Date(2026, 0, 2, 3, 4), ports, only };
  let over = false;
  const code = conformance(['--port', ends[0], '--report', file], call, world).finally(() => {
    over = true;
  });
  while (!over) {
    await carried();
    // The thread of the cases needs real time to think, and none of the board's.
    const due = clock.nextDue();
    if (due === Number.POSITIVE_INFINITY) await turn();
    else simulation.advance(Math.min(0.002, Math.max(0.0005, due - clock.now())));
  }
  return { code: await code, ...said, report: readFileSync(file, 'utf8') };
}

describe('the reference board, emulated, on a pseudo-terminal', () => {
  test('passes over the line, after its button was pressed, and by hand', async () => {
    const { code, out, err, report } = await held([...OVER_THE_LINE, BOOT, GUARD]);
    expect(code, err).toBe(0);
    expect(out).toContain('Done: 7 passed, 0 failed, 10 not done, 0 not reached, 0 not checked on a board.');
    expect(report).toContain('| board | reference board (ATmega2560) |');
    // A pseudo-terminal has no reset line, and the wire at A3 shows ENABLE.
    expect(err).toContain('press the RESET button');
    expect(err).toContain('A3 (turntableReference) to D32');
    expect(report).toContain(`| 5 | ${GUARD} | passed | not seen: STEP |`);
    expect(bench.board.pins!.drivesOn()).toBe(false);
  });

  test('a cable that is pulled leaves a report of what was found', async () => {
    const { code, report, err } = await held([OVER_THE_LINE[0]!, BOOT], (words) => {
      if (words.includes('passed')) socat.kill();
    });
    expect(code).toBe(2);
    expect(report).toContain(`| ended | ${ends[0]} is gone`);
    expect(report).toContain(`| 1 | ${OVER_THE_LINE[0]} | passed |`);
    expect(err).toContain('take its power away before you touch wires');
  });
});

test('the small board, emulated: its limits hang on one wire, and nothing shows ENABLE', () => {
  const rules = ['a limit acts as halt', 'a lift that does not answer'];
  const cases = CASES.filter(({ rule }) => rules.some((one) => rule.startsWith(one)));
  const table = new Table({ board: () => chipPort('small'), pins: 'small', answers: willing });
  const subject = { board: 'small', firmware: '', port: '', imageHash: '', person: '', begun: '', version: '' };
  const report = new Report(subject, rowsOf(cases), () => {});
  new Session(table, bareBoard(2, readPins())!, cases, report).run();
  expect(report.rows.filter(({ why }) => why !== '')).toEqual([]);
  expect(report.count('passed')).toBe(2);
  expect(table.shown).toContain('    A4 (limits) to GND\n');
  expect(table.shown).toContain('> A4 (limits): take its wire off GND');
  expect(report.text()).toMatch(/a limit acts as halt .* \| passed \| not seen: ENABLE \|/);
});
