import { describe, expect, it } from 'vitest';
import { kinematicsOf } from '../../planner/steps/kinematics';
import { stepsAtTurns, wholeSteps } from '../../planner/steps/rounding';
import { analyticPath } from '../support/analytic-walk';
import { demoStand } from '../support/programs';

describe('the two slides over a turntable', () => {
  const kinematics = kinematicsOf(demoStand);

  it('turn turns and millimetres into steps, and back', () => {
    const steps = new Float64Array(5);
    kinematics.stepsAt(Float64Array.of(2, -40.5, 90.25, -0.125), steps);
    expect([...steps]).toEqual([289_281, -1620, 7220, -1200, 0]);
    const place = new Float64Array(4);
    kinematics.placeAt(steps, place);
    expect([...place]).toEqual([2, -40.5, 90.25, -0.125]);
  });

  it('turn derivatives of the place into those of the steps', () => {
    const path = analyticPath({
      turns: 2,
      strokes: 35,
      settingMm: 90,
      lengthMm: 80,
      widthMm: 16,
      nudgeMm: 8,
      lapTurnsPerTurn: 0.37,
    });
    const h = 1e-4;
    const u = 0.7123;
    const at = [-h, 0, h].map((offset) => {
      const place = new Float64Array(4);
      const steps = new Float64Array(5);
      path.sample(u + offset, place);
      kinematics.stepsAt(place, steps);
      return steps;
    });
    const derivatives = new Float64Array(8);
    path.derivatives(u, derivatives);
    const out = new Float64Array(10);
    kinematics.derivativesAt(new Float64Array(4), derivatives, out);
    for (let axis = 0; axis < 5; axis++) {
      const [before, here, after] = at.map((steps) => steps[axis]!) as [number, number, number];
      expect(out[axis]).toBeCloseTo((after - before) / (2 * h), -1);
      const second = (after - 2 * here + before) / h ** 2;
      expect(Math.abs(out[5 + axis]! - second)).toBeLessThanOrEqual(1e-3 * Math.abs(second) + 100);
    }
  });
});

describe('whole steps', () => {
  it('round halves upward, also a hair below the half', () => {
    expect([2.4, 2.5, 2.6, -2.4, -2.5, -2.6, 1600.49999999997].map(wholeSteps)).toEqual([2, 3, 3, -2, -2, -3, 1601]);
  });

  it('park every axis where the path begins', () => {
    const path = analyticPath({
      turns: 1,
      strokes: 17,
      settingMm: 88.8,
      lengthMm: 81,
      widthMm: 0,
      nudgeMm: 0,
      lapTurnsPerTurn: 0,
    });
    expect(stepsAtTurns(path, demoStand, 0)).toEqual([0, -1620, 7104, 0, 0]);
  });
});
