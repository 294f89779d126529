/**
 * The command line runs a program over a real serial port of the operating system: a pair of pseudo-terminals joined by socat, with the
 * virtual stand at the other end on the clock on the wall.
 */
import { type ChildProcess, spawn } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { SerialPort } from 'serialport';
import { io } from 'socket.io-client';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { runCommandLine } from '../../firmware-host/cli/command-line';
import { compile } from '../../firmware-host/cli/compile';
import { contacts } from '../../firmware-host/cli/contacts';
import { flash } from '../../firmware-host/cli/flash';
import { run } from '../../firmware-host/cli/run';
import { serve } from '../../firmware-host/cli/serve';
import { Logbook } from '../../firmware-host/logbook/logbook';
import type { Answer, Request, View } from '../../firmware-host/server/messages';
import { RealClock } from '../../firmware-host/stand/clock';
import { runInRealTime } from '../../firmware-host/virtual/real-time';
import { Simulation } from '../../firmware-host/virtual/simulation';
import { VirtualStand } from '../../firmware-host/virtual/virtual-stand';
import { readStand } from '../../planner/stand/read-stand';
import { STAND, writeShortProgram } from './short-stand';

let folder: string;
let socat: ChildProcess;
let ends: [string, string];
let farEnd: SerialPort;
let stand: VirtualStand;
let stopTime: () => void;

async function waitFor(what: string, done: () => boolean, limitSeconds = 10): Promise<void> {
  for (let tries = 0; tries < limitSeconds * 40; tries++) {
    if (done()) return;
    await new Promise((resolve) => setTimeout(resolve, 25));
  }
  throw new Error(`${what} did not come about`);
}

beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'wholeturn-pty-'));
  ends = [join(folder, 'host'), join(folder, 'stand')];
  writeShortProgram(folder);
  socat = spawn(
    'socat',
    ends.map((path) => `pty,raw,echo=0,link=${path}`),
  );
  await waitFor('the pair of pseudo-terminals', () => ends.every((path) => existsSync(path)));
  farEnd = new SerialPort({ path: ends[1], baudRate: 250_000 });
  await new Promise((resolve) => farEnd.once('open', resolve));
  // Where the cable is pulled, what the stand still says goes nowhere.
  farEnd.on('error', () => {});

  stand = new VirtualStand({
    stand: readStand(STAND, 'stand.yaml').stand!,
    start: { turntableTurns: 0.99, lapTurns: 0.99, strokeMm: -30, radialMm: 110 },
    bootId: 9,
  });
  stand.pipe.onBytes((bytes) => {
    if (farEnd.isOpen) farEnd.write(Buffer.from(bytes));
  });
  farEnd.on('data', (bytes: Buffer) => stand.pipe.write(Uint8Array.from(bytes)));
  const simulation = new Simulation();
  simulation.add(stand);
  stopTime = runInRealTime(simulation, 1, new RealClock());
});

afterEach(async () => {
  stopTime();
  if (farEnd.isOpen) await new Promise<void>((resolve) => farEnd.close(() => resolve()));
  socat.kill();
  rmSync(folder, { recursive: true });
});

interface Session {
  out: string;
  err: string;
  code: Promise<number>;
  enter(): void;
  interrupt(): void;
}

/** The command line as someone at a terminal has it, or (typed: false) as a script has it. */
function wholeturn(args: readonly string[], typed = false): Session {
  const listeners = { line: new Set<(line: string) => void>(), stop: new Set<() => void>() };
  const session: Session = {
    out: '',
    err: '',
    code: Promise.resolve(0),
    enter: () => {
      for (const listener of [...listeners.line]) listener('');
    },
    interrupt: () => {
      for (const listener of [...listeners.stop]) listener();
    },
  };
  const keep = <T>(set: Set<T>, listener: T): (() => void) => {
    set.add(listener);
    return () => set.delete(listener);
  };
  session.code = runCommandLine(
    args,
    { run: () => run, compile: () => compile, serve: () => serve, flash: () => flash, contacts: () => contacts },
    {
      out: (text) => {
        session.out += text;
      },
      err: (text) => {
        session.err += text;
      },
      terminal: typed,
      environment: { WHOLETURN_HOME: folder, USER: 'tester' },
      onInterrupt: (stop) => keep(listeners.stop, stop),
      ...(typed && { onLine: (listener: (line: string) => void) => keep(listeners.line, listener) }),
    },
  );
  return session;
}

test('a program walks over a real port and ends where the compiler says, to the step', async () => {
  const program = join(folder, 'program.yaml');
  const compiled = wholeturn(['compile', program, '--json']);
  expect(await compiled.code, compiled.err).toBe(0);
  const before = stand.truth();
  const seen = { pump: 0, green: 0 };
  let pumped = false;
  stand.onMotion(() => {
    const pumps = stand.accessory(0) === 'high';
    if (pumps && !pumped) seen.pump++;
    pumped = pumps;
    if (stand.accessory(3) === 'high') seen.green++;
  });
  const session = wholeturn(['run', program, '--port', ends[0], '--json']);
  expect(await session.code, session.err).toBe(0);
  const report = JSON.parse(session.out);
  const { endSteps, travelSteps } = JSON.parse(compiled.out);
  expect(report).toMatchObject({
    state: 'Complete',
    turnsWalked: 2,
    endSteps,
    travelSteps,
    slipSteps: 0,
    underruns: 0,
  });
  const after = stand.truth();
  expect(after.liftHeight).toBe(1);
  expect(after.travel[1]! - before.travel[1]!).toBeGreaterThan(travelSteps.stroke);
  // By johnny-five, on the same line: a dose after the first turn, and the green lamp while it moved.
  expect(seen.pump).toBe(1);
  expect(seen.green).toBeGreaterThan(100);
  expect([0, 1, 2, 3].map((number) => stand.accessory(number))).toEqual(['low', 'low', 'low', 'low']);
  const logbook = Logbook.open(join(folder, 'logbook.db'));
  expect(logbook.run(report.runId)).toMatchObject({ virtual: true, kind: 'run', state: 'Complete' });
  logbook.close();
});

test('Ctrl+C eases on the path and lifts the lap', async () => {
  const session = wholeturn(['run', join(folder, 'program.yaml'), '--port', ends[0]], true);
  await waitFor('the question', () => session.err.includes('Press Enter when nobody is near'));
  expect(stand.truth().drivesEnabled).toBe(false);
  session.enter();
  await waitFor('the walk', () => /Turn 0\.[1-9]/.test(session.err), 60);
  expect(stand.truth().liftHeight).toBe(0);
  session.interrupt();
  expect(await session.code).toBe(2);
  expect(session.out).toMatch(/Stopped, not done: [01]\.\d\d turns of 2/);
  expect(stand.truth().liftHeight).toBe(1);
  expect(session.err).not.toMatch(/fault of Wholeturn/);
});

test('a cable that is pulled in mid-run: the stand eases and lifts by itself, the run says so and ends', async () => {
  const session = wholeturn(['run', join(folder, 'program.yaml'), '--port', ends[0], '--json']);
  await waitFor('the walk', () => session.err.includes('Running'), 60);
  await new Promise((resolve) => setTimeout(resolve, 500));
  socat.kill();
  expect(await session.code).toBe(2);
  expect(session.err).toContain(`${ends[0]} is gone`);
  expect(JSON.parse(session.out).state).toBe('Aborted');
  await waitFor('the lap up', () => stand.truth().liftHeight === 1);
});

test('the pages are served for the stand at the port', async () => {
  const session = wholeturn(['serve', join(folder, 'program.yaml'), '--stand-port', ends[0], '--port', '0'], true);
  await waitFor('the address', () => session.out.includes('#key='), 20);
  expect(session.out).toContain(`Stand on ${ends[0]} (virtual board): things move when a page says start.`);
  const [, address, key] = session.out.match(/(http:\S+)\/#key=(\S+)/)!;
  const socket = io(address!, {
    path: '/live',
    transports: ['websocket'],
    auth: { key },
    extraHeaders: { Origin: address! },
  });
  const view = await new Promise<View>((resolve) => socket.once('view', resolve));
  expect(view).toMatchObject({ standWords: `Stand on ${ends[0]} (virtual board)`, virtual: true, speedFactor: 1 });
  const ask = (request: Request): Promise<Answer> => socket.emitWithAck('ask', request);
  expect(await ask({ ask: 'takeControl', name: 'tester' })).toEqual({ ok: true });
  expect(await ask({ ask: 'clear' })).toEqual({ ok: true });
  socket.close();
  session.interrupt();
  expect(await session.code, session.err).toBe(0);
});

test('flash --check tells which image the controller runs', async () => {
  const session = wholeturn(['flash', '--check', '--port', ends[0], '--json']);
  expect(await session.code, session.err).toBe(0);
  expect(JSON.parse(session.out)).toMatchObject({ port: ends[0], board: 'virtual board', protocol: 1, same: true });
});

test('a stand whose file turns pins round is not run with the standard image on its controller', async () => {
  writeFileSync(join(folder, 'stand.yaml'), `${STAND}board: reference\npins: { enable: high }\n`);
  const before = stand.truth();
  const session = wholeturn(['run', join(folder, 'program.yaml'), '--port', ends[0]]);
  expect(await session.code).toBe(2);
  expect(session.err).toContain('carries the standard image, not the one built for this stand');
  expect(session.err).toContain('the drives may be on when they should be off');
  expect(stand.truth()).toMatchObject({ steps: before.steps, drivesEnabled: false });
});

test('contacts of a stand with pins of its own are not told by another image', async () => {
  const own = join(folder, 'own.yaml');
  writeFileSync(own, `${STAND}board: reference\npins: { index: open }\n`);
  const session = wholeturn(['contacts', '--port', ends[0], '--stand', own], true);
  expect(await session.code).toBe(2);
  expect(session.err).toContain('a mark is told everywhere but at its place');
  expect(session.out).toBe('');
});

test('contacts tells what opens and closes', async () => {
  const session = wholeturn(['contacts', '--port', ends[0]], true);
  await waitFor('what is asserted', () => session.out.includes('Asserted now: '));
  // The turntable stands just before its index, the slides inside their limits.
  expect(session.out).toContain('Asserted now: Lift is up, Lap is free of the glass.');
  stand.force('guard', true);
  await waitFor('the guard', () => session.out.includes('Guard switch: asserted (open)\n'));
  stand.force('guard', null);
  await waitFor('the guard again', () => session.out.includes('Guard switch: released (closed)\n'));
  expect(stand.truth().drivesEnabled).toBe(false);
  session.interrupt();
  expect(await session.code).toBe(0);
});
