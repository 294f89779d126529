import { describe, expect, test } from 'vitest';
import { compileProgram } from '../../planner/steps/summary';
import { program } from '../support/programs';
import { Keeper } from './stop-rows';
import { ask, GO_ON, planOf, quickStand, reach, readyRun, START } from './support';

const UNSUSPEND = { kind: 'command', command: 'unsuspend' } as const;
const RESET = { kind: 'command', command: 'reset' } as const;

describe('rests that the path plans', () => {
  const byHand = program([{ turns: 3, clocking: { kind: 'byHand', everyTurns: 1, byDeg: 90 } }], { turntableRpm: 5 });
  const plan = planOf(byHand, quickStand);
  const { summary } = compileProgram(byHand, quickStand);

  test('for hand clocking it waits at the index, lap up, until a person says so', async () => {
    const { run, conductor } = await readyRun(plan);
    await ask(run, START, 'Suspended');
    expect(conductor.snapshot()).toMatchObject({
      words: 'Waiting for the lap to be clocked by hand',
      turnsWalked: 1,
      lift: 'up',
    });
    expect(conductor.snapshot().next).toMatch(/90 deg/);
    await run.until(() => false, 30);
    expect(conductor.snapshot().state).toBe('Suspended');
    await ask(run, UNSUSPEND, 'Execute');
    await reach(run, 'Suspended');
    expect(conductor.snapshot().turnsWalked).toBe(2);
    await ask(run, UNSUSPEND, 'Complete');
    expect(conductor.result()).toMatchObject({
      endSteps: summary!.endSteps,
      travelSteps: summary!.travelSteps,
      underruns: 0,
    });
  });

  test('stopped while it waits, the clocking is still due when the walk goes on', async () => {
    const { run, conductor } = await readyRun(plan);
    await ask(run, START, 'Suspended');
    await ask(run, { kind: 'command', command: 'stop' }, 'Stopped');
    await ask(run, RESET, 'Idle');
    await ask(run, GO_ON, 'Suspended');
    expect(conductor.snapshot()).toMatchObject({ turnsWalked: 1, words: 'Waiting for the lap to be clocked by hand' });
    expect(run.stand.truth().liftHeight).toBe(1);
    await ask(run, UNSUSPEND, 'Suspended');
    await ask(run, UNSUSPEND, 'Complete');
    expect(conductor.result().endSteps).toEqual(summary!.endSteps);
  });

  test('a change of pattern too large to blend rests for a moment and goes on by itself, lap down', async () => {
    const change = program(
      [
        { turns: 1, strokesPerMinute: 80, lengthMm: 40 },
        { turns: 1, strokesPerMinute: 15, lengthMm: 100 },
      ],
      {
        turntableRpm: 5,
      },
    );
    const changePlan = planOf(change, quickStand);
    expect(changePlan.path.rests.map((rest) => rest.reason)).toEqual(['pattern change']);
    const { run, conductor, recorder } = await readyRun(changePlan);
    await ask(run, START, 'Complete');
    expect(recorder.events.map((event) => event.words)).not.toContain('Paused');
    expect(conductor.result()).toMatchObject({
      endSteps: compileProgram(change, quickStand).summary!.endSteps,
      underruns: 0,
    });
  });
});

describe('what may be missing', () => {
  const walked = program([{ turns: 2 }], { turntableRpm: 5 });
  const plan = planOf(walked, quickStand);
  const { summary } = compileProgram(walked, quickStand);
  const exact = { endSteps: summary!.endSteps, travelSteps: summary!.travelSteps, underruns: 0 };

  test('a rule can make it wait for something outside', async () => {
    const { run, conductor } = await readyRun(plan);
    await ask(run, START, 'Execute');
    await ask(run, { kind: 'command', command: 'suspend', cause: 'fresh slurry' }, 'Suspended');
    expect(conductor.snapshot()).toMatchObject({ words: 'Waiting for fresh slurry', lift: 'up' });
    await ask(run, UNSUSPEND, 'Complete');
    expect(conductor.result()).toMatchObject(exact);
  });

  test('a host that is late by less than the silence lets the pace droop and nothing else', async () => {
    // A stand that waits longer for its host than its queue lasts.
    const patient = planOf(walked, { ...quickStand, hostSilentMs: 2000 });
    const { run, conductor } = await readyRun(patient);
    await ask(run, START, 'Execute');
    for (let i = 0; i < 12; i++) {
      await run.until(() => false, 1.1);
      // The stand's time goes on, the host's does not: it hears nothing and sends nothing.
      run.stand.advance(0.6);
    }
    await reach(run, 'Complete');
    expect(conductor.result()).toMatchObject(exact);
    expect(conductor.result().droopTicks).toBeGreaterThan(0);
  });

  test('a host that is silent for longer finds the stand eased and lifted, and a person goes on', async () => {
    const { run, conductor } = await readyRun(plan);
    await ask(run, START, 'Execute');
    await run.until(() => false, 3);
    run.stand.advance(5);
    await reach(run, 'Suspended');
    expect(conductor.snapshot().words).toBe('Waiting for a person: this computer was silent for too long');
    expect(run.stand.truth()).toMatchObject({ liftHeight: 1, drivesEnabled: true });
    await ask(run, UNSUSPEND, 'Complete');
    expect(conductor.result()).toMatchObject({ endSteps: exact.endSteps, travelSteps: exact.travelSteps });
  });

  test('the cable out and in again: it eased on the path and goes on from the same step', async () => {
    const { run, conductor } = await readyRun(plan);
    await ask(run, START, 'Execute');
    await run.until(() => false, 3);
    run.unplug();
    await run.until(() => false, 4);
    expect(conductor.snapshot()).toMatchObject({ state: 'Suspending' });
    expect(run.stand.truth()).toMatchObject({ liftHeight: 1, drivesEnabled: true });
    expect(conductor.order(UNSUSPEND)).toMatchObject({ ok: false });
    run.plugIn();
    await reach(run, 'Suspended');
    await ask(run, UNSUSPEND, 'Complete');
    expect(conductor.result().endSteps).toEqual(exact.endSteps);
  });

  test('a controller that restarted must be cleared, and every axis is found again', async () => {
    const { run, conductor } = await readyRun(plan);
    await ask(run, START, 'Execute');
    await run.until(() => false, 6);
    const before = conductor.snapshot().turnsWalked;
    run.stand.reboot('watchdog');
    await reach(run, 'Aborted');
    expect(conductor.snapshot().words).toBe('Stopped by the watchdog of the controller, must be cleared');
    await ask(run, { kind: 'command', command: 'clear' }, 'Stopped');
    await ask(run, RESET, 'Idle');
    const place = conductor.snapshot().stoodAtTurns!;
    // Known to the last report before: a fraction of a degree may be stroked twice.
    expect(Math.abs(place - before)).toBeLessThan(0.01);
    await ask(run, GO_ON, 'Complete');
    expect(conductor.result().endSteps).toEqual(exact.endSteps);
  });
});

test('what waits for the logbook does not move, nor lower the lap, before it can be written', async () => {
  const recorder = new Keeper();
  const { run, conductor } = await readyRun(planOf(program([{ turns: 2 }], { turntableRpm: 5 }), quickStand), {
    recorder,
  });
  await ask(run, START, 'Execute');
  await run.until(() => conductor.snapshot().turnsWalked > 0.3, 60);
  recorder.full = true;
  await reach(run, 'Suspended');
  const { steps } = run.stand.truth();
  await ask(run, UNSUSPEND, 'Unsuspending');
  let lowest = 1;
  await run.until(() => {
    lowest = Math.min(lowest, run.stand.truth().liftHeight);
    return conductor.snapshot().state === 'Suspended';
  }, 60);
  expect(conductor.snapshot().words).toMatch(/^Waiting for the logbook, which cannot be written/);
  expect(lowest).toBe(1);
  expect(run.stand.truth().steps).toEqual(steps);
  recorder.full = false;
  await ask(run, UNSUSPEND, 'Complete');
});
