/** The path against mathematics that has nothing to do with this project. */
import { describe, expect, it } from 'vitest';
import { gearProgram } from '../../planner/gearing/gearing';
import { buildPath } from '../../planner/path/path';
import { program } from '../support/programs';

const STEPS = 100_000;

/** Mean over one stroke of a function of (x', y') per turn. */
function strokeMean(stint: Parameters<typeof program>[0][0], of: (dx: number, dy: number) => number): number {
  const asked = program([stint]);
  const geared = gearProgram(asked);
  const path = buildPath(geared, asked);
  const motion = new Float64Array(8);
  const span = 1 / geared[0]!.strokesPerTurn;
  let sum = 0;
  for (let i = 0; i < STEPS; i++) {
    path.derivatives((span * (i + 0.5)) / STEPS, motion);
    sum += of(motion[1]!, motion[2]!);
  }
  return sum / STEPS;
}

/** Length of the track of one stroke in the stand's frame, the turntable standing, in half stroke lengths. */
function trackLength(widthRatio: number): number {
  const stint = {
    shape: 'ellipse' as const,
    lengthMm: 80,
    widthMm: 80 * widthRatio,
    rateTolerance: 0,
    strokesPerMinute: 45,
  };
  return strokeMean(stint, Math.hypot) / 18 / 40;
}

describe('track of an elliptical stroke', () => {
  // P = 4 a E(1 - b^2/a^2), a = 1; E computed with 25 digits.
  it.each([
    [0.5, 4.84422411027384],
    [0.25, 4.28921088757842],
    [0.1, 4.0639741801009],
  ])('with axes 1 : %d has the perimeter of that ellipse', (ratio, perimeter) => {
    expect(trackLength(ratio)).toBeCloseTo(perimeter, 8);
  });

  it('degenerates to twice the stroke, out and back', () => {
    expect(strokeMean({ rateTolerance: 0, strokesPerMinute: 45 }, Math.hypot) / 18).toBeCloseTo(160, 6);
  });
});

describe('mean speed of a straight stroke', () => {
  const peak = Math.PI * 80 * 18;

  it('is 2/pi of its peak', () => {
    expect(strokeMean({ rateTolerance: 0, strokesPerMinute: 45 }, Math.abs) / peak).toBeCloseTo(0.6366197723675814, 8);
  });

  // Mean |v + u cos t| = (2/pi)(v asin(v/u) + sqrt(u^2 - v^2)) for v < u, and v above: computed from the formula.
  it.each([
    [0.25, 0.65661975568908],
    [0.5, 0.71799556208846],
    [0.75, 0.82600421510387],
    [1, 1],
    [2, 2],
  ])('with a turntable drift of %d of the peak along it', (drift, mean) => {
    const speed = strokeMean({ rateTolerance: 0, strokesPerMinute: 45 }, (dx) => Math.abs(dx + drift * peak));
    expect(speed / peak).toBeCloseTo(mean, 7);
  });
});
