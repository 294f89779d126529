/** Starting is never a surprise: a countdown before anything moves, and a walk in the air. */
import { describe, expect, test } from 'vitest';
import type { VirtualRun } from '../../firmware-host/run/virtual-run';
import { compileProgram } from '../../planner/steps/summary';
import { program } from '../support/programs';
import { ask, planOf, quickStand, reach, readyRun, START } from './support';

const walked = program([{ turns: 1 }], { turntableRpm: 5 });
const plan = planOf(walked, quickStand);
const { summary } = compileProgram(walked, quickStand);
const AIR = { ...START, air: true } as const;
/** Everything about the stand but its clock. */
const still = ({ stand }: VirtualRun) => {
  const { seconds, ...rest } = stand.truth();
  return { ...rest, passed: seconds > 0 };
};
const command = (name: 'hold' | 'unhold' | 'unsuspend' | 'stop') => ({ kind: 'command', command: name }) as const;

describe('before anything moves', () => {
  test('it warns for the seconds of the stand file, drives still off, and says so', async () => {
    const { run, conductor } = await readyRun(planOf(walked, { ...quickStand, countdownSeconds: 5 }));
    const standing = still(run);
    const began = run.seconds;
    await ask(run, START, 'Starting');
    await run.until(() => run.seconds >= began + 1, 2);
    expect(conductor.snapshot()).toMatchObject({ words: 'About to move' });
    expect(conductor.snapshot().next).toMatch(/Keep clear.*Stop calls it off; nothing mutes the sound/);
    await run.until(() => run.seconds >= began + 4.9, 5);
    expect(still(run)).toEqual(standing);
    expect(standing.drivesEnabled).toBe(false);
    const left: number[] = [];
    await run.until(() => {
      const { startsInSeconds } = conductor.snapshot();
      if (startsInSeconds !== null) left.push(startsInSeconds);
      return startsInSeconds === null;
    }, 10);
    expect(run.seconds - began).toBeGreaterThan(4.9);
    expect(run.seconds - began).toBeLessThan(5.3);
    expect(left).toEqual([...left].sort((a, b) => b - a));
    // Then the drives, and nothing moves before they have been on for their time.
    await run.until(() => run.stand.truth().drivesEnabled, 1);
    expect(run.stand.truth().steps).toEqual(standing.steps);
    const on = run.seconds;
    await run.until(() => JSON.stringify(run.stand.truth().steps) !== JSON.stringify(standing.steps), 10);
    expect(run.seconds - on).toBeGreaterThan(0.15);
  });

  test('anyone stops it in the countdown, and nothing has moved', async () => {
    const { run, conductor } = await readyRun(plan);
    const standing = still(run);
    await ask(run, START, 'Starting');
    await run.until(() => false, 2);
    await ask(run, command('stop'), 'Stopped');
    await run.until(() => false, 10);
    expect(still(run)).toEqual(standing);
    expect(conductor.snapshot().startsInSeconds).toBeNull();
  });

  test('it warns as well when a person goes on after a pause and after a wait', async () => {
    const { run, conductor } = await readyRun(plan);
    await ask(run, START, 'Execute');
    await run.until(() => conductor.snapshot().turnsWalked > 0.2, 30);
    for (const [stop, on] of [
      ['hold', 'unhold'],
      ['suspend', 'unsuspend'],
    ] as const) {
      const order =
        stop === 'hold' ? command('hold') : ({ kind: 'command', command: 'suspend', cause: 'slurry' } as const);
      await ask(run, order, stop === 'hold' ? 'Held' : 'Suspended');
      const standing = still(run);
      conductor.order(command(on));
      await run.until(() => false, 2.8);
      expect(conductor.snapshot().startsInSeconds).toBeGreaterThan(0);
      expect(still(run)).toEqual(standing);
      await reach(run, 'Execute');
    }
    await reach(run, 'Complete');
    expect(conductor.result()).toMatchObject({ endSteps: summary!.endSteps, travelSteps: summary!.travelSteps });
  });
});

describe('an air run', () => {
  test('walks the whole program with the lap up, at the pace that was chosen, and is marked', async () => {
    const { run, conductor, recorder } = await readyRun(plan);
    conductor.setPace(0.5);
    let lowest = 1;
    expect(conductor.order(AIR)).toEqual({ ok: true });
    await run.until(() => {
      lowest = Math.min(lowest, run.stand.truth().liftHeight);
      return conductor.snapshot().state === 'Complete';
    }, 200);
    expect(lowest).toBe(1);
    expect(conductor.result()).toMatchObject({ air: true, endSteps: summary!.endSteps, turnsWalked: 1 });
    expect(conductor.result().durationSeconds).toBeGreaterThan(1.7 * summary!.durationSeconds);
    expect(recorder.begun).toEqual([{ runId: 'run-1', atTurns: 0, air: true }]);
    expect(recorder.events.map(({ words }) => words)).toContain('Running (air run, the lap stays up)');
    expect(conductor.snapshot()).toMatchObject({ air: true, words: 'Done (air run, the lap stays up)' });
  });

  test('paused and gone on with the lap stays up; the next start is a real one', async () => {
    const { run, conductor, recorder } = await readyRun(plan);
    await ask(run, AIR, 'Execute');
    await run.until(() => conductor.snapshot().turnsWalked > 0.3, 30);
    await ask(run, command('hold'), 'Held');
    await ask(run, command('unhold'), 'Execute');
    expect(run.stand.truth().liftHeight).toBe(1);
    expect(conductor.snapshot().glass).toBe('The lap is off the glass.');
    await reach(run, 'Complete');
    await ask(run, { kind: 'command', command: 'reset' }, 'Idle');
    expect(conductor.snapshot().air).toBe(false);
    await ask(run, START, 'Execute');
    expect(run.stand.truth().liftHeight).toBe(0);
    expect(recorder.begun.map(({ air }) => air)).toEqual([true, false]);
  });
});
