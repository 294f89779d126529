import { describe, expect, test } from 'vitest';
import { IndexWatch } from '../../firmware-host/run/index-watch';
import { SEGMENT_BYTES } from '../../planner/steps/segment';
import { compileProgram } from '../../planner/steps/summary';
import { program } from '../support/programs';
import { ask, planOf, quickStand, reach, readyRun, START } from './support';

const walked = program([{ turns: 4 }], { turntableRpm: 5 });
const plan = planOf(walked, quickStand);
const { summary } = compileProgram(walked, quickStand);
const STEPS_A_TURN = quickStand.axes.turntable.stepsPerUnit;

describe('a turntable that slips', () => {
  test.each([0.3, -0.3, 0.05])(
    'by %d degrees is brought back at the next index, and the steps are counted',
    async (degrees) => {
      const { run, conductor } = await readyRun(plan);
      await ask(run, START, 'Execute');
      await run.until(() => conductor.snapshot().turnsWalked >= 1.5, 60);
      run.stand.slip('turntable', degrees);
      await reach(run, 'Complete');
      const steps = (Math.abs(degrees) / 360) * STEPS_A_TURN;
      expect(Math.abs(conductor.result().slipSteps - steps)).toBeLessThanOrEqual(3);
      // The path's own steps are what they were; the table is at its index again.
      expect(conductor.result()).toMatchObject({ endSteps: summary!.endSteps, travelSteps: summary!.travelSteps });
      const { turntableTurns } = run.stand.truth();
      expect(Math.min(turntableTurns, 1 - turntableTurns) * STEPS_A_TURN).toBeLessThanOrEqual(4);
    },
  );

  test.each([
    [-2, 'the turntable slipped, the index came 2.00 degrees late at turn 2'],
    [2, 'the turntable slipped, the index came 2.00 degrees early at turn 2'],
  ])('by %d degrees makes it wait for a person, in degrees; then it is made good', async (slipped, words) => {
    const { run, conductor } = await readyRun(plan);
    await ask(run, START, 'Execute');
    await run.until(() => conductor.snapshot().turnsWalked >= 1.5, 60);
    run.stand.slip('turntable', slipped);
    await reach(run, 'Suspended');
    expect(conductor.snapshot().words).toBe(`Waiting for a person: ${words}`);
    await ask(run, { kind: 'command', command: 'unsuspend' }, 'Complete');
    expect(Math.abs(conductor.result().slipSteps - (2 / 360) * STEPS_A_TURN)).toBeLessThanOrEqual(3);
    const { turntableTurns } = run.stand.truth();
    expect(Math.min(turntableTurns, 1 - turntableTurns) * STEPS_A_TURN).toBeLessThanOrEqual(4);
  });

  test('an index that stays away is noticed', async () => {
    const { run, conductor } = await readyRun(plan);
    await ask(run, START, 'Execute');
    await run.until(() => conductor.snapshot().turnsWalked >= 0.5, 60);
    run.stand.force('index', false);
    await reach(run, 'Suspended');
    expect(conductor.snapshot().words).toBe(
      'Waiting for a person: the index did not come within 0.50 degrees of turn 1',
    );
  });
});

describe('the watch itself', () => {
  const segment = (ticks: number, flags: number, steps: number): number[] => [ticks, flags, 0, steps, 0, 0, 0, 0];
  const owing = (late: number): IndexWatch => {
    const watch = new IndexWatch(quickStand, 0);
    watch.report(0, null, 0.5, false);
    expect(watch.report(1, Math.floor(STEPS_A_TURN) + late, 1.001, false)).toBeNull();
    return watch;
  };

  test('a step more in each segment until all is made good; rests and near standstills are left alone', () => {
    const watch = owing(10);
    const segments = Uint8Array.from([
      ...segment(255, 0, 40),
      ...segment(255, 1, 2),
      ...segment(255, 0, 1),
      ...segment(60, 0, 30),
      ...Array.from({ length: 20 }, () => segment(200, 0, 30)).flat(),
    ]);
    const sent = watch.correct(segments);
    const turntable = (bytes: Uint8Array, n: number): number => bytes[n * SEGMENT_BYTES + 3]!;
    expect([0, 1, 2, 3].map((n) => turntable(sent, n))).toEqual([41, 2, 1, 30]);
    const more = Array.from({ length: 24 }, (_, n) => turntable(sent, n) - turntable(segments, n));
    expect(more.reduce((a, b) => a + b, 0)).toBe(10);
    expect(Math.max(...more)).toBe(1);
    expect(watch.corrected).toBe(10);
    expect(watch.correct(segments)).toBe(segments);
  });

  test('edges too many are told', () => {
    const watch = new IndexWatch(quickStand, 0);
    watch.report(4, null, 0.5, false);
    expect(watch.report(6, Math.round(STEPS_A_TURN), 1.01, false)).toEqual({
      fault: 'bounces',
      words: 'the index bounces: it came 2 times at once',
    });
    const again = owing(0);
    expect(again.report(2, Math.round(STEPS_A_TURN * 1.1), 1.11, false)).toEqual({
      fault: 'stray',
      words: 'the index came once more, 36.00 degrees after turn 1',
    });
  });

  test('a pulse where no index belongs is told and not made good', () => {
    const watch = new IndexWatch(quickStand, 0);
    watch.report(0, null, 0.5, false);
    expect(watch.report(1, Math.round(STEPS_A_TURN * 0.6), 0.61, false)?.words).toMatch(
      /came where none belongs, 216.00 degrees after turn 0/,
    );
    const segments = Uint8Array.from(segment(200, 0, 30));
    expect(watch.correct(segments)).toBe(segments);
    // The index itself is still awaited at turn 1.
    expect(watch.report(2, Math.round(STEPS_A_TURN), 1.001, false)).toBeNull();
  });

  test('a pulse a little before the index is not made good once the index itself has come', () => {
    const watch = new IndexWatch(quickStand, 0);
    watch.report(0, null, 0.5, false);
    expect(watch.report(1, Math.round(STEPS_A_TURN * 0.98), 0.981, false)?.words).toMatch(
      /7.20 degrees early at turn 1/,
    );
    expect(watch.report(2, Math.round(STEPS_A_TURN), 1.001, false)).toMatchObject({
      fault: 'stray',
      words: expect.stringMatching(/came once more.*a disturbance/),
    });
    const segments = Uint8Array.from(segment(200, 0, 30));
    expect(watch.correct(segments)).toBe(segments);
  });

  test('a walk that starts just before an index, however near, is judged by it wholly or not at all', () => {
    for (let steps = -40; steps <= 40; steps++) {
      const fromTurns = 0.98 + steps / 8 / STEPS_A_TURN;
      for (const off of [-3, 0, 3]) {
        const watch = new IndexWatch(quickStand, fromTurns);
        watch.report(5, null, fromTurns, false);
        expect(watch.report(6, STEPS_A_TURN + off, 1.001, true)).toBeNull();
        expect(watch.report(6, STEPS_A_TURN + off, 1.9, false)).toBeNull();
        expect(watch.report(7, 2 * STEPS_A_TURN + off, 2.001, true)).toBeNull();
      }
    }
  });

  test('a walk that starts at an index is not judged by it', () => {
    const watch = new IndexWatch(quickStand, 3);
    watch.report(7, null, 3, false);
    expect(watch.report(8, Math.round(3 * STEPS_A_TURN) + 1, 3.01, false)).toBeNull();
    expect(watch.report(8, null, 3.9, false)).toBeNull();
    expect(watch.report(9, Math.round(4 * STEPS_A_TURN), 4.0001, false)).toBeNull();
    expect(watch.corrected).toBe(0);
  });
});
