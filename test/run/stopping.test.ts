import { describe, expect, test } from 'vitest';
import type { VirtualRun } from '../../firmware-host/run/virtual-run';
import { stepsAtTurns } from '../../planner/steps/rounding';
import { compileProgram } from '../../planner/steps/summary';
import { program } from '../support/programs';
import { ask, GO_ON, planOf, quickStand, reach, readyRun, START } from './support';

const STOP = { kind: 'command', command: 'stop' } as const;
const RESET = { kind: 'command', command: 'reset' } as const;
const CLEAR = { kind: 'command', command: 'clear' } as const;
const walked = program(
  [
    { turns: 2, nudge: { everyStrokes: 3, byMm: 6 } },
    { turns: 2, shape: 'ellipse', widthMm: 12, clocking: { kind: 'steps', everyStrokes: 2, askedDeg: 40, share: 0.6 } },
  ],
  { turntableRpm: 5 },
);
const plan = planOf(walked, quickStand);
const { summary } = compileProgram(walked, quickStand);

/** Turns walked, told to a thousandth of a step of the turntable. */
const turns = (run: Awaited<ReturnType<typeof readyRun>>['run']): number => run.conductor.snapshot().turnsWalked;

/** The mechanism itself after the last turn: slides to the step in the stand's frame, what turns at its mark. */
function whereItBelongs(run: VirtualRun): void {
  const { steps, turntableTurns, lapTurns } = run.stand.truth();
  const [, stroke, radial, lap] = stepsAtTurns(plan.path, quickStand, plan.path.turns);
  expect(steps.slice(1, 3)).toEqual([stroke, radial]);
  const offMark = (turns: number): number => Math.min(turns, 1 - turns);
  expect(offMark(turntableTurns) * 144_640.5).toBeLessThan(3);
  expect(offMark((((lapTurns - lap! / 9600) % 1) + 1) % 1) * 9600).toBeLessThan(2);
}

describe('stop at the end of the turn', () => {
  test.each([0.2, 1.1, 1.97, 2.6])('asked at turn %d it rests at an index, lap up, and can go on', async (asked) => {
    const { run, conductor, recorder } = await readyRun(plan);
    await ask(run, START, 'Execute');
    await run.until(() => turns(run) >= asked, 120);
    await ask(run, { kind: 'command', command: 'stopAtTurnEnd' }, 'Execute');
    const promised = conductor.snapshot().restsAtTurns;
    await reach(run, 'Stopped');
    expect(turns(run)).toBe(promised);
    expect(Number.isInteger(promised)).toBe(true);
    expect(turns(run) - asked).toBeGreaterThan(0);
    expect(turns(run) - asked).toBeLessThan(1.2);
    expect(run.stand.truth()).toMatchObject({ liftHeight: 1 });
    // The index itself, not only the count: within a step and a half of where it was found.
    const { turntableTurns } = run.stand.truth();
    expect(Math.min(turntableTurns, 1 - turntableTurns) * 144_640.5).toBeLessThan(2.5);
    expect(conductor.result().underruns).toBe(0);
    await ask(run, RESET, 'Idle');
    expect(conductor.snapshot().stoodAtTurns).toBe(promised);
    await ask(run, GO_ON, 'Complete');
    expect(conductor.result()).toMatchObject({ endSteps: summary!.endSteps, turnsWalked: 4, runId: 'run-1' });
    expect(conductor.result().travelSteps).toEqual(summary!.travelSteps);
    expect(recorder.begun.map(({ atTurns }) => atTurns)).toEqual([0, promised]);
  });

  test('in the last turn it is simply the end of the program', async () => {
    const { run, conductor } = await readyRun(plan);
    await ask(run, START, 'Execute');
    await run.until(() => turns(run) >= 3.5, 120);
    await ask(run, { kind: 'command', command: 'stopAtTurnEnd' }, 'Complete');
    expect(conductor.result()).toMatchObject({ endSteps: summary!.endSteps, travelSteps: summary!.travelSteps });
  });

  test('a pause between does not make it forgotten', async () => {
    const { run, conductor } = await readyRun(plan);
    await ask(run, START, 'Execute');
    await run.until(() => turns(run) >= 0.3, 60);
    await ask(run, { kind: 'command', command: 'stopAtTurnEnd' }, 'Execute');
    await ask(run, { kind: 'command', command: 'hold' }, 'Held');
    await ask(run, { kind: 'command', command: 'unhold' }, 'Stopped');
    expect(turns(run)).toBe(1);
    expect(conductor.snapshot().restsAtTurns).toBeNull();
  });
});

describe('stop', () => {
  test('eases on the path, lifts, and the walk goes on from there or starts anew', async () => {
    const { run, conductor, recorder } = await readyRun(plan);
    await ask(run, START, 'Execute');
    await run.until(() => turns(run) >= 1.3, 60);
    await ask(run, STOP, 'Stopped');
    const stood = turns(run);
    expect(stood).toBeGreaterThan(1.3);
    expect(stood).toBeLessThan(1.4);
    expect(run.stand.truth().liftHeight).toBe(1);
    expect(conductor.order(GO_ON)).toMatchObject({ ok: false });
    await ask(run, RESET, 'Idle');
    expect(conductor.snapshot().stoodAtTurns).toBe(stood);
    await ask(run, GO_ON, 'Execute');
    await run.until(() => turns(run) >= 1.7, 60);
    await ask(run, STOP, 'Stopped');
    expect(turns(run)).toBeGreaterThan(1.7);
    await ask(run, RESET, 'Idle');
    await ask(run, GO_ON, 'Complete');
    expect(conductor.result()).toMatchObject({ endSteps: summary!.endSteps, underruns: 0 });
    // Where it came to rest it stood up to 1.5 steps beside the path; the lap is brought back to it while up.
    const { travelSteps } = conductor.result();
    for (const axis of ['turntable', 'stroke', 'radial', 'lapTurn'] as const)
      expect(Math.abs(travelSteps[axis] - summary!.travelSteps[axis])).toBeLessThanOrEqual(4);
    await ask(run, RESET, 'Idle');
    expect(conductor.order(GO_ON)).toEqual({
      ok: false,
      words: 'There is no place to go on from. Start anew.',
    });
    await ask(run, START, 'Complete');
    expect(conductor.result()).toMatchObject({ travelSteps: summary!.travelSteps, runId: 'run-2' });
    expect(recorder.ends.map((report) => report.state)).toEqual(['Stopped', 'Stopped', 'Complete', 'Complete']);
  });

  test.each(['Starting', 'Holding', 'Held', 'Unholding', 'Completing'] as const)('also while %s', async (state) => {
    const { run, conductor } = await readyRun(plan);
    if (state === 'Starting') {
      await ask(run, START, 'Starting');
      await run.until(() => false, 5);
    } else {
      await ask(run, START, 'Execute');
      if (state === 'Completing') await reach(run, 'Completing');
      else {
        await run.until(() => turns(run) >= 0.5, 60);
        await ask(run, { kind: 'command', command: 'hold' }, state === 'Holding' ? 'Holding' : 'Held');
        if (state === 'Unholding') await ask(run, { kind: 'command', command: 'unhold' }, 'Unholding');
      }
    }
    expect(conductor.snapshot().state).toBe(state);
    await ask(run, STOP, 'Stopped');
    const stood = run.stand.truth();
    await run.until(() => false, 2);
    expect(run.stand.truth().steps).toEqual(stood.steps);
    expect(stood.liftHeight).toBe(1);
  });
});

describe('a stop before the walk has begun', () => {
  test.each([0.5, 6, 14, 24, 36, 41])(
    '%d s into the start: what was found is not relied on, and the walk is exact',
    async (seconds) => {
      const { run, conductor } = await readyRun(plan);
      await ask(run, START, 'Starting');
      await run.until(() => conductor.snapshot().state !== 'Starting', seconds);
      expect(conductor.snapshot().state).toBe('Starting');
      await ask(run, STOP, 'Stopped');
      await ask(run, RESET, 'Idle');
      await ask(run, START, 'Complete');
      expect(conductor.result()).toMatchObject({ endSteps: summary!.endSteps, travelSteps: summary!.travelSteps });
      whereItBelongs(run);
    },
  );
});

describe('a run of an earlier launch', () => {
  test('is gone on with from the place that was kept', async () => {
    const interrupted = { runId: 'run-0', turnsWalked: 1.37 };
    const { run, conductor, recorder } = await readyRun(plan, { interrupted });
    expect(conductor.snapshot()).toMatchObject({ stoodAtTurns: 1.37, runId: 'run-0' });
    await ask(run, GO_ON, 'Complete');
    expect(conductor.result()).toMatchObject({ endSteps: summary!.endSteps, turnsWalked: 4, runId: 'run-0' });
    expect(recorder.begun).toEqual([{ runId: 'run-0', atTurns: 1.37, air: false }]);
    whereItBelongs(run);
  });

  test('or left, and another one started', async () => {
    const { run, conductor } = await readyRun(plan, { interrupted: { runId: 'run-0', turnsWalked: 1.37 } });
    await ask(run, START, 'Complete');
    expect(conductor.result()).toMatchObject({ travelSteps: summary!.travelSteps, turnsWalked: 4, runId: 'run-1' });
  });
});

describe('a latched stop', () => {
  test.each([
    ['halt', 'Stopped by the halt input, must be cleared', false],
    ['driveFault', 'Stopped by a drive that reports a fault, must be cleared', false],
    ['guard', 'Stopped by an open guard, must be cleared', false],
    ['strokeHigh', 'Stopped by a slide at the end of its travel, must be cleared', false],
  ] as const)('by %s: cleared, reset, referenced, and on from the recorded place', async (input, words, drives) => {
    const { run, conductor, recorder } = await readyRun(plan);
    await ask(run, START, 'Execute');
    await run.until(() => turns(run) >= 1.4, 60);
    run.stand.force(input, true);
    await reach(run, 'Aborted');
    const stood = run.stand.truth();
    expect(conductor.snapshot().words).toBe(words);
    expect(stood).toMatchObject({ drivesEnabled: drives, liftHeight: 1 });
    // While the cause is there it cannot be cleared; a limit is left by the search for references.
    if (input === 'strokeHigh') run.stand.force(input, null);
    else if (input !== 'driveFault') {
      await ask(run, CLEAR, 'Aborted');
      expect(conductor.snapshot().words).toMatch(/still there/);
    }
    run.stand.force(input, null);
    await ask(run, CLEAR, 'Stopped');
    const place = turns(run);
    await ask(run, RESET, 'Idle');
    expect(run.stand.truth().steps).toEqual(stood.steps);
    await ask(run, GO_ON, 'Complete');
    expect(conductor.result()).toMatchObject({ endSteps: summary!.endSteps, underruns: 0, turnsWalked: 4 });
    expect(recorder.begun[1]!.atTurns).toBeCloseTo(place, 9);
    whereItBelongs(run);
  });

  test('a lift that sticks going down stops it before anything walks', async () => {
    const { run, conductor } = await readyRun(plan);
    await ask(run, START, 'Execute');
    await ask(run, { kind: 'command', command: 'hold' }, 'Held');
    run.stand.stickLift(true);
    await ask(run, { kind: 'command', command: 'unhold' }, 'Aborted');
    expect(conductor.snapshot().words).toBe('Stopped by a lift that did not arrive in time, must be cleared');
  });
});
