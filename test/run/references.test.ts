/** References on a stand as it may really be found: slides on their switches, a wire that is cut. */
import { describe, expect, it } from 'vitest';
import { compileProgram } from '../../planner/steps/summary';
import { program } from '../support/programs';
import { ask, planOf, quickStand, reach, readyRun, START } from './support';

const walked = program([{ turns: 1 }], { turntableRpm: 5 });
const { endSteps } = compileProgram(walked, quickStand).summary!;
const plan = planOf(walked, quickStand);
const INSIDE = { turntableTurns: 0.97, lapTurns: 0.95, strokeMm: -117, radialMm: 177 };

describe('a stand is found', () => {
  it.each([
    ['both slides on the switches they are sought by', { strokeMm: -122.5, radialMm: 182.5 }],
    ['both slides on the other switches', { strokeMm: 122.5, radialMm: -2.5 }],
    ['one slide on each', { strokeMm: 122.5, radialMm: 182.5 }],
  ])('with %s: it leaves them by itself and walks to the step', async (_, places) => {
    const { run, conductor } = await readyRun(plan, { start: { ...INSIDE, ...places } });
    await ask(run, START, 'Complete');
    expect(conductor.result()).toMatchObject({ turnsWalked: 1, endSteps, slipSteps: 0 });
  });

  it.each([
    ['radialLow', 'radialHigh', 'both end switches of the radial slide at once'],
    ['strokeLow', 'strokeHigh', 'both end switches of the stroke slide at once'],
  ] as const)('with %s and %s both open: that is a wire, and nothing moves', async (one, other, words) => {
    const { run, conductor } = await readyRun(plan, { start: INSIDE });
    const before = run.stand.truth().steps;
    run.stand.force(one, true);
    run.stand.force(other, true);
    conductor.order(START);
    await reach(run, 'Aborted');
    expect(conductor.snapshot().words).toContain(words);
    expect(run.stand.truth().steps).toEqual(before);
  });

  it('near its own switches, whatever its travel', async () => {
    const { stroke, radial } = quickStand.axes;
    const short = {
      ...quickStand,
      axes: { ...quickStand.axes, stroke: { ...stroke, min: -45, max: 45 }, radial: { ...radial, min: 60, max: 110 } },
    };
    const { run, conductor } = await readyRun(planOf(walked, short));
    await ask(run, START, 'Complete');
    expect(conductor.result()).toMatchObject({ turnsWalked: 1, endSteps });
  });
});
