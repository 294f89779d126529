/**
 * How a row of the stop table is walked, on any simulated stand: what a person reads, where the lap and the drives are then, how long the
 * last step took, and that nothing moves again until somebody says so.
 */
import { expect } from 'vitest';
import type { Order } from '../../firmware-host/run/conductor';
import type { RunState } from '../../firmware-host/run/types';
import { VirtualRun } from '../../firmware-host/run/virtual-run';
import type { Program } from '../../planner/program/types';
import { program } from '../support/programs';
import { type Bench, command, Keeper, type Row, silence, type Walking } from './stop-rows';
import { GO_ON, planOf, START } from './support';

/** What a row is measured to. */
export interface Measured {
  /** From what happened to the last step, seconds of the stand's time, to a slice of 5 ms. */
  seconds: number;
  /** Where it stood then. */
  turnsWalked: number;
}

/** Found, cleared and reset. */
export async function readyOn(bench: Bench, programme: Program): Promise<Walking> {
  const plan = planOf(programme, bench.stand);
  const recorder = new Keeper();
  let runs = 0;
  const run = await VirtualRun.beginOn(
    { plan, recorder, newRunId: () => `run-${++runs}`, linkId: 0x2e57 },
    bench.make(bench.stand, bench.start),
  );
  const walking = { run, recorder, plan };
  await ask(walking, command('clear'), 'Stopped');
  await ask(walking, command('reset'), 'Idle');
  return walking;
}

export async function ask({ run }: Walking, order: Order, state: RunState): Promise<void> {
  expect(run.conductor.order(order)).toEqual({ ok: true });
  const reached = await run.until(() => run.conductor.snapshot().state === state, 600);
  if (!reached) throw new Error(`did not reach ${state}: ${run.conductor.snapshot().words}`);
}

/** Nothing moves for so long. */
async function nothingMoves({ run }: Walking, seconds: number): Promise<void> {
  const { steps, travel } = run.stand.truth();
  await run.until(() => false, seconds);
  expect(run.stand.truth()).toMatchObject({ steps, travel });
}

/** Seconds of the stand's time from what happens to the last step. */
async function secondsToRest(walking: Walking, happen: () => void): Promise<number> {
  const { run, recorder } = walking;
  let began = run.stand.truth().seconds;
  let last = began;
  recorder.refused = () => {
    began = run.stand.truth().seconds;
    recorder.refused = () => {};
  };
  const off = run.stand.onMotion(({ from, to }) => {
    if (from.steps.some((steps, axis) => steps !== to.steps[axis])) last = to.seconds;
  });
  happen();
  await run.until(() => run.stand.truth().seconds - last > 6, 60);
  off();
  return last - began;
}

export async function walkRow(bench: Bench, row: Row): Promise<Measured> {
  const { stint, turntableRpm, stand } = bench;
  const stints = row.stints?.({ turns: 2, ...stint }) ?? [{ turns: 2, ...stint }];
  const walking = await readyOn(bench, program(stints, { turntableRpm }));
  const { run } = walking;
  const { conductor } = run;
  await ask(walking, START, 'Execute');
  await run.until(() => conductor.snapshot().turnsWalked >= 0.4, 60);
  const seconds = await secondsToRest(walking, () => row.happen(walking));
  if (row.within !== undefined) expect(seconds).toBeLessThanOrEqual(row.within(stand) + 0.005);
  await run.until(() => conductor.snapshot().state === row.state, 30);
  const { state, words, next, turnsWalked } = conductor.snapshot();
  if (typeof row.words === 'string') expect(words).toBe(row.words);
  else expect(words).toMatch(row.words);
  expect(state).toBe(row.state);
  expect(next.length).toBeGreaterThan(5);
  if (row.at !== undefined) expect(turnsWalked).toBe(row.at);
  expect(run.stand.truth()).toMatchObject({ drivesEnabled: row.drives, liftHeight: row.lap === 'up' ? 1 : 0 });

  // What put it right is no start.
  row.mend?.(walking);
  await nothingMoves(walking, 2);
  if (state === 'Aborted') {
    for (const early of [command('reset'), GO_ON, START, command('unsuspend')])
      expect(conductor.order(early)).toMatchObject({ ok: false });
    await ask(walking, command('clear'), 'Stopped');
    await nothingMoves(walking, 1);
  }
  if (state === 'Aborted' || state === 'Stopped') {
    expect(conductor.order(GO_ON)).toMatchObject({ ok: false });
    await ask(walking, command('reset'), 'Idle');
    await nothingMoves(walking, 1);
    await ask(walking, GO_ON, 'Complete');
  } else await ask(walking, command(state === 'Held' ? 'unhold' : 'unsuspend'), 'Complete');
  expect(conductor.result().turnsWalked).toBe(2);
  return { seconds, turnsWalked };
}

/** The host's process ends; another finds the stand, and goes on from where the logbook and the controller say. */
export async function killedHost(bench: Bench): Promise<Measured> {
  const { stint, turntableRpm, stand } = bench;
  const walking = await readyOn(bench, program([{ turns: 2, ...stint }], { turntableRpm }));
  const { run, recorder, plan } = walking;
  await ask(walking, START, 'Execute');
  await run.until(() => run.conductor.snapshot().turnsWalked >= 0.4, 60);
  const seen = recorder.checkpoints.at(-1)!;
  let last = run.stand.truth().seconds;
  const began = last;
  const off = run.stand.onMotion(({ from, to }) => {
    if (from.steps.some((steps, axis) => steps !== to.steps[axis])) last = to.seconds;
  });
  // Nobody advances the host's side any more.
  for (let left = 6; left > 0; left -= 0.005) run.stand.advance(0.005);
  off();
  expect(last - began).toBeLessThanOrEqual(silence(stand) + 0.005);
  expect(run.stand.truth()).toMatchObject({ drivesEnabled: true, liftHeight: 1 });
  run.stand.unplug();

  const { turnsWalked, lift, mark } = seen;
  const interrupted = { runId: 'run-1', turnsWalked, lift, mark };
  const next = await VirtualRun.beginOn(
    { plan, recorder: new Keeper(), newRunId: () => 'another', linkId: 0x1111, interrupted },
    run.stand,
  );
  const anew = { run: next, recorder, plan };
  await nothingMoves(anew, 2);
  expect(next.conductor.order(GO_ON)).toMatchObject({ ok: false });
  if (next.conductor.snapshot().state === 'Aborted') await ask(anew, command('clear'), 'Stopped');
  await ask(anew, command('reset'), 'Idle');
  const from = next.conductor.snapshot().turnsWalked;
  await nothingMoves(anew, 1);
  await ask(anew, GO_ON, 'Complete');
  expect(next.conductor.result().turnsWalked).toBe(2);
  return { seconds: last - began, turnsWalked: from };
}

/** A start that cannot find a switch is trouble of the host: it stops, lap up, and goes on only when told. */
export async function missingSwitch(bench: Bench): Promise<void> {
  const { stint, turntableRpm } = bench;
  const walking = await readyOn(bench, program([{ turns: 2, ...stint }], { turntableRpm }));
  const { run } = walking;
  run.stand.force('radialHigh', false);
  await ask(walking, START, 'Aborted');
  expect(run.conductor.snapshot().words).toMatch(
    /^Stopped by .*the outer switch of the radial slide.*must be cleared$/,
  );
  expect(run.stand.truth()).toMatchObject({ liftHeight: 1, drivesEnabled: true });
  run.stand.force('radialHigh', null);
  await nothingMoves(walking, 2);
  await ask(walking, command('clear'), 'Stopped');
  await ask(walking, command('reset'), 'Idle');
  await nothingMoves(walking, 1);
}

/** A start whose rows cannot be kept is called off: no axis has moved, and the same start is taken once there is room. */
export async function fullDiscAtStart(bench: Bench): Promise<void> {
  const { stint, turntableRpm } = bench;
  const walking = await readyOn(bench, program([{ turns: 2, ...stint }], { turntableRpm }));
  const { run, recorder } = walking;
  const { steps, travel } = run.stand.truth();
  recorder.full = true;
  await ask(walking, START, 'Aborted');
  expect(run.conductor.snapshot()).toMatchObject({
    words: 'Stopped by the logbook, which cannot be written (database or disk is full), must be cleared',
    next: expect.stringMatching(/^Make room on the disc/),
  });
  expect(run.stand.truth()).toMatchObject({ steps, travel, liftHeight: 1 });
  recorder.full = false;
  await nothingMoves(walking, 2);
  await ask(walking, command('clear'), 'Stopped');
  await ask(walking, command('reset'), 'Idle');
  await nothingMoves(walking, 1);
  await ask(walking, START, 'Execute');
}

/** What a measurement says in a line. */
export function measuredWords(name: string, { seconds, turnsWalked }: Measured): string {
  return `${name}: ${(seconds * 1000).toFixed(0)} ms, at rest at turn ${turnsWalked.toFixed(4)} (${((turnsWalked - 1) * 360).toFixed(2)} degrees from turn 1)`;
}
