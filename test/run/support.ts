import type { Checkpoint, EventKind } from '../../firmware-host/logbook/logbook';
import type { Conductor, Order } from '../../firmware-host/run/conductor';
import { planRun, type RunPlan } from '../../firmware-host/run/plan';
import type { RunRecorder } from '../../firmware-host/run/recorder';
import type { RunReport, RunState } from '../../firmware-host/run/types';
import { VirtualRun, type VirtualRunOptions } from '../../firmware-host/run/virtual-run';
import type { Program } from '../../planner/program/types';
import type { Stand } from '../../planner/stand/types';
import { demoStand } from '../support/programs';

/** The demo stand with a turntable that follows 5 turns a minute: short walks, so that many fit into a test. */
export const quickStand: Stand = {
  ...demoStand,
  axes: { ...demoStand.axes, turntable: { ...demoStand.axes.turntable, maxAcceleration: 0.6 } },
};

/** Keeps what it is told, in order. */
export class Remembered implements RunRecorder {
  readonly begun: { runId: string; atTurns: number; air: boolean }[] = [];
  readonly checkpoints: Omit<Checkpoint, 'atMs'>[] = [];
  readonly events: { kind: EventKind; turnsWalked: number | null; words: string }[] = [];
  readonly ends: RunReport[] = [];

  begin(runId: string, atTurns: number, air: boolean): void {
    this.begun.push({ runId, atTurns, air });
  }

  checkpoint(_runId: string, seen: Omit<Checkpoint, 'atMs'>): void {
    this.checkpoints.push(seen);
  }

  event(_runId: string | null, kind: EventKind, turnsWalked: number | null, words: string): void {
    this.events.push({ kind, turnsWalked, words });
  }

  end(_runId: string, report: RunReport): void {
    this.ends.push(report);
  }
}

export function planOf(program: Program, stand: Stand): RunPlan {
  const plan = planRun(program, stand);
  if (Array.isArray(plan)) throw new Error(plan.map((complaint) => complaint.message).join('\n'));
  return plan;
}

export interface Rehearsed extends VirtualRun {
  recorder: Remembered;
}

/** A virtual stand found, cleared and reset: ready to start. */
export async function readyRun(
  plan: RunPlan,
  options: Partial<VirtualRunOptions> = {},
): Promise<{ run: VirtualRun; recorder: Remembered; conductor: Conductor }> {
  const recorder = new Remembered();
  let runs = 0;
  const run = await VirtualRun.begin({
    plan,
    recorder,
    newRunId: () => `run-${++runs}`,
    bootId: 7,
    linkId: 0x7e57 & 0x3fff,
    ...options,
  });
  const { conductor } = run;
  await ask(run, { kind: 'command', command: 'clear' }, 'Stopped');
  await ask(run, { kind: 'command', command: 'reset' }, 'Idle');
  return { run, recorder, conductor };
}

/** Gives an order that must be taken and goes on until the state is reached. */
export async function ask(run: VirtualRun, order: Order, state: RunState, limitSeconds = 600): Promise<void> {
  const answer = run.conductor.order(order);
  if (!answer.ok) throw new Error(answer.words);
  await reach(run, state, limitSeconds);
}

export async function reach(run: VirtualRun, state: RunState, limitSeconds = 600): Promise<void> {
  const reached = await run.until(() => run.conductor.snapshot().state === state, limitSeconds);
  if (!reached) throw new Error(`did not reach ${state}: ${JSON.stringify(run.conductor.snapshot())}`);
}

export const START: Order = { kind: 'command', command: 'start', from: 'beginning' };
export const GO_ON: Order = { kind: 'command', command: 'start', from: 'place' };
