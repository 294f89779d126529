/** Run control over the virtual stand in this thread, at a pace set by the clock on the wall. */
import { randomInt } from 'node:crypto';
import type { RunPlan } from '../run/plan';
import type { RunRecorder } from '../run/recorder';
import { VirtualRun } from '../run/virtual-run';
import { RealClock } from '../stand/clock';
import { runInRealTime } from '../virtual/real-time';
import type { RunHost } from './run-desk';

export async function beginVirtual(
  plan: RunPlan,
  recorder: RunRecorder,
  newRunId: () => string,
  speedFactor: number,
): Promise<RunHost> {
  const run = await VirtualRun.begin({
    plan,
    recorder,
    newRunId,
    bootId: randomInt(1, 0x10000),
    linkId: randomInt(1, 0x4000),
  });
  const stopTime = runInRealTime(run.simulation, speedFactor, new RealClock());
  const { conductor } = run;
  return {
    snapshot: () => conductor.snapshot(),
    onChange: (listener) => conductor.onChange(listener),
    order: async (order) => conductor.order(order),
    setPace: async (pace) => conductor.setPace(pace),
    close: () => {
      stopTime();
      return conductor.close();
    },
  };
}
