/** The threads of a real run, on the virtual stand many times faster than real time. The one test here that uses the clock on the wall. */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Libsql from 'libsql';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { Logbook } from '../../firmware-host/logbook/logbook';
import { LogbookWriter } from '../../firmware-host/logbook/writer';
import type { Order } from '../../firmware-host/run/conductor';
import { RunThread } from '../../firmware-host/run/thread-host';
import type { RunState } from '../../firmware-host/run/types';
import { meanOf } from '../../firmware-host/virtual/glass/round';
import { plainTruth } from '../../firmware-host/virtual/glass/truth';
import { startState, VirtualGlass } from '../../firmware-host/virtual/glass/virtual-glass';
import { compileProgram } from '../../planner/steps/summary';
import { program } from '../support/programs';
import { planOf, quickStand } from './support';

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'wholeturn-thread-'));
});
afterEach(() => rmSync(folder, { recursive: true }));

const walked = program([{ turns: 2 }], { turntableRpm: 5 });
const GLASS = {
  glass: walked.glass,
  truth: plainTruth(8e-13),
  state: startState(walked.glass, (r) => 20 * Math.cos(r / 30)),
};
const { summary } = compileProgram(walked, quickStand);

async function begin(
  file: string,
  notKept = (words: string, _run: RunThread | null): void => {
    throw new Error(words);
  },
) {
  let living: RunThread | null = null;
  const writer = await LogbookWriter.open(file, (words) => notKept(words, living));
  const recorder = writer.recorderPort({
    virtual: true,
    kind: 'rehearsal',
    title: walked.title,
    programFile: walked.file,
    programText: '',
    recipe: {},
    stand: quickStand.name,
    plannedTurns: 2,
    plannedSeconds: summary!.durationSeconds,
  });
  const told: string[] = [];
  const worn: { before: Float64Array; after: Float64Array }[] = [];
  const run = await RunThread.begin({
    program: walked,
    stand: quickStand,
    kPerPa: 8e-13,
    choice: { kind: 'virtual', speedFactor: 60, bootId: 7, linkId: 1234, glass: GLASS },
    interrupted: null,
    recorder,
    happened: (_kind, _turns, words) => told.push(words),
    worn: ({ before, after }) => {
      worn.push({ before: meanOf(before.heightNm), after: meanOf(after.heightNm) });
    },
    died: (words) => told.push(words),
  });
  living = run;
  return { writer, run, told, worn };
}

function reached(run: RunThread, state: RunState): Promise<void> {
  return new Promise((resolve) => {
    const look = (): void => {
      if (run.snapshot().state !== state) return;
      off();
      resolve();
    };
    const off = run.onChange(look);
    setImmediate(look);
  });
}

async function ask(run: RunThread, order: Order, state: RunState): Promise<void> {
  const there = reached(run, state);
  expect(await run.order(order)).toEqual({ ok: true });
  await there;
}

/** What a long commit or a solver does to this thread. */
function blockFor(milliseconds: number): void {
  Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, milliseconds);
}

test('a run goes on undisturbed while the serving thread is blocked, and is kept in the logbook', async () => {
  const file = join(folder, 'logbook.db');
  const { writer, run, told, worn } = await begin(file);
  await ask(run, { kind: 'command', command: 'clear' }, 'Stopped');
  await ask(run, { kind: 'command', command: 'reset' }, 'Idle');
  await ask(run, { kind: 'command', command: 'start', from: 'beginning' }, 'Execute');
  // 300 ms of this thread are 18 s of the stand's time, most of the walk.
  blockFor(300);
  await reached(run, 'Complete');
  const result = run.result()!;
  expect(result).toMatchObject({
    state: 'Complete',
    endSteps: summary!.endSteps,
    travelSteps: summary!.travelSteps,
    underruns: 0,
    droopTicks: 0,
  });
  // The glass under the lap came over with what was on it, and comes back with what was taken off.
  const asPlanned = new VirtualGlass(walked.glass, GLASS.truth, GLASS.state);
  asPlanned.walk(planOf(walked, quickStand).path, walked.lap, 0, 2, 5);
  const { before, after } = worn.at(-1)!;
  expect(Array.from(before)).toEqual(Array.from(meanOf(GLASS.state.heightNm)));
  for (const [r, height] of asPlanned.meanNm().entries()) expect(Math.abs(after[r]! - height)).toBeLessThan(0.01);
  expect(Math.max(...before.map((height, r) => height - after[r]!))).toBeGreaterThan(0.3);
  await run.close();
  await writer.close();
  expect(told).toContain('Done');
  expect(await run.order({ kind: 'command', command: 'reset' })).toEqual({
    ok: false,
    words: 'Run control was closed.',
  });
  const logbook = Logbook.open(file);
  expect(logbook.run(result.runId)).toMatchObject({ state: 'Complete', virtual: true, report: result });
  expect(logbook.checkpoints(result.runId).at(-1)).toMatchObject({ state: 'Complete', turnsWalked: 2, lift: 'up' });
  expect(logbook.events(100).map(({ words }) => words)).toEqual(told);
  logbook.close();
});

test('while the logbook cannot be written what walks waits and nothing starts; what was refused is kept once it can', async () => {
  const file = join(folder, 'logbook.db');
  const why: string[] = [];
  const { writer, run, told } = await begin(file, (words, living) => {
    why.push(words);
    living?.notKept(words);
  });
  await ask(run, { kind: 'command', command: 'clear' }, 'Stopped');
  await ask(run, { kind: 'command', command: 'reset' }, 'Idle');
  await ask(run, { kind: 'command', command: 'start', from: 'beginning' }, 'Execute');
  const disc = new Libsql(file, { timeout: 5000 });
  disc.exec("CREATE TRIGGER full BEFORE INSERT ON checkpoints BEGIN SELECT RAISE(FAIL, 'no room'); END");
  await reached(run, 'Suspended');
  expect(run.snapshot().words).toMatch(/^Waiting for the logbook, which cannot be written \(.*no room.*\)$/);
  expect(run.snapshot().next).toMatch(/^Make room on the disc/);
  const stood = run.snapshot().turnsWalked;
  await ask(run, { kind: 'command', command: 'unsuspend' }, 'Unsuspending');
  await reached(run, 'Suspended');
  expect(run.snapshot().turnsWalked).toBe(stood);
  await ask(run, { kind: 'command', command: 'stop' }, 'Stopped');
  await ask(run, { kind: 'command', command: 'reset' }, 'Idle');
  await ask(run, { kind: 'command', command: 'start', from: 'place' }, 'Aborted');
  expect(run.snapshot()).toMatchObject({ turnsWalked: stood, lift: 'up' });
  expect(run.snapshot().words).toMatch(/^Stopped by the logbook, which cannot be written .*, must be cleared$/);
  disc.exec('DROP TRIGGER full');
  disc.close();
  await ask(run, { kind: 'command', command: 'clear' }, 'Stopped');
  await ask(run, { kind: 'command', command: 'reset' }, 'Idle');
  await ask(run, { kind: 'command', command: 'start', from: 'place' }, 'Complete');
  const { runId, endSteps } = run.result()!;
  expect(endSteps).toEqual(summary!.endSteps);
  await run.close();
  await writer.close();
  expect(why.length).toBeGreaterThan(2);
  const logbook = Logbook.open(file);
  expect(logbook.events(100).map(({ words }) => words)).toEqual(told);
  const states = logbook.checkpoints(runId).map(({ state }) => state);
  for (const state of ['Suspended', 'Stopped', 'Aborted', 'Complete']) expect(states).toContain(state);
  logbook.close();
});

test('a logbook that cannot be opened is refused before anything is started', async () => {
  await expect(LogbookWriter.open(folder, () => {})).rejects.toMatchObject({ fault: 'input' });
});
