/**
 * Non-negative least squares against worked examples, and two annular benchmarks of figuring. The examples are those of the
 * README of the mljs packages nnls and fcnnls; their answers were solved again elsewhere (scipy). The benchmark's numbers were
 * computed with scipy from the formulas given here.
 */
import { describe, expect, it } from 'vitest';
import type { Lap } from '../../planner/shelf/types';
import { candidatesOf } from '../../planner/suggest/candidates';
import { certify, fitNonNegative } from '../../planner/suggest/least-squares';
import { testGlass } from '../figure/synthetic';

describe('worked examples', () => {
  const columns = [
    [1, 10, -1, -5],
    [1, 11, 0, 6],
    [2, -9, 0, -7],
  ].map((column) => Float64Array.from(column));
  const rows: [number[], number[]][] = [
    [
      [-1, 11, 0, 1],
      [0.46101444, 0.56112551, 0],
    ],
    [
      [0, -20, 0, 2],
      [0, 0, 1.23880597],
    ],
    [
      [0, 103, 0, 3],
      [4.97141799, 4.73617179, 0],
    ],
    [
      [9, 5, 0, 4],
      [0, 2.24041059, 1.91356024],
    ],
  ];

  it.each(rows)('b = %j', (b, expected) => {
    const fit = fitNonNegative(columns, Float64Array.from(b));
    expected.forEach((value, j) => {
      expect(fit.x[j]!).toBeCloseTo(value, 7);
    });
    expect(fit.certificate.holds).toBe(true);
  });

  it('the first leaves 2.08630875', () => {
    expect(fitNonNegative(columns, Float64Array.from([-1, 11, 0, 1])).residualNorm).toBeCloseTo(2.08630875, 7);
  });

  it('a certificate is refused for an answer that is not the best, or negative', () => {
    const b = Float64Array.from([-1, 11, 0, 1]);
    expect(certify(columns, b, Float64Array.of(0.46101444, 0.56112551, 0)).holds).toBe(true);
    expect(certify(columns, b, Float64Array.of(0.46102, 0.56112, 0)).holds).toBe(false);
    expect(certify(columns, b, Float64Array.of(0, 0.9, 0)).holds).toBe(false);
    expect(certify(columns, b, Float64Array.of(0.5, 0.6, -0.05)).holds).toBe(false);
  });
});

/** Radii 0.5 .. 99.5 mm of a paraboloid of 200 mm, R 2400, made from the sphere that touches it at 70.7 % of the radius. */
const RADII = Float64Array.from({ length: 100 }, (_, i) => i + 0.5);
const WEIGHT = RADII.map((r) => r / 5000);
const HEIGHT_NM = (100 ** 4 / (8 * 2400 ** 3)) * 1e6;
const TARGET = RADII.map((r) => HEIGHT_NM * ((r / 100) ** 2 - 0.5) ** 2);

/** Piston is free: the mean over the area is taken off, and each radius weighs by the root of its area. */
function freed(values: ArrayLike<number>): Float64Array {
  const mean = WEIGHT.reduce((sum, w, i) => sum + w * values[i]!, 0);
  return WEIGHT.map((w, i) => Math.sqrt(w) * (values[i]! - mean));
}

function rmsAfter(profiles: ArrayLike<number>[], turns: ArrayLike<number>): number {
  const left = TARGET.map((depth, i) => depth - profiles.reduce((sum, p, j) => sum + turns[j]! * p[i]!, 0));
  return Math.hypot(...freed(left));
}

describe('annular benchmark with a lap of 20 mm radius at rest, uniform pressure', () => {
  /** Share of the circle of radius r under a lap of radius a whose centre stands at s. */
  const arc = (r: number, s: number, a: number): number => {
    if (s === 0) return r < a ? 1 : 0;
    const cosine = (s * s + r * r - a * a) / (2 * s * r);
    return cosine >= 1 ? 0 : cosine <= -1 ? 1 : Math.acos(cosine) / Math.PI;
  };
  const profiles = Array.from({ length: 11 }, (_, k) => RADII.map((r) => 10 * arc(r, 10 * k, 20)));

  it('leaves 24.80779703 nm rms of 67.363233, and 24.812519 with turns rounded', () => {
    expect(Math.hypot(...freed(TARGET))).toBeCloseTo(67.363233, 6);
    const fit = fitNonNegative(profiles.map(freed), freed(TARGET));
    expect(fit.residualNorm).toBeCloseTo(24.80779703, 8);
    expect(fit.certificate.holds).toBe(true);
    const turns = [2.818922, 11.160929, 21.596138, 32.14834, 32.917963, 0, 35.19301, 0, 0, 0, 250.440794];
    turns.forEach((value, j) => {
      expect(fit.x[j]!).toBeCloseTo(value, 5);
    });
    expect(rmsAfter(profiles, fit.x.map(Math.round))).toBeCloseTo(24.812519, 6);
  });

  it('leaves 25.66970321 nm with the piston held', () => {
    const held = (values: Float64Array): Float64Array => values.map((value, i) => Math.sqrt(WEIGHT[i]!) * value);
    expect(fitNonNegative(profiles.map(held), held(TARGET)).residualNorm).toBeCloseTo(25.66970321, 8);
  });
});

describe('annular benchmark with laps of 10 to 40 mm radius, strokes, and pressure in balance over the rim', () => {
  // A quick computation elsewhere left 22.5 nm relaxed, with a coarser choice of settings; the goal is 23 and 24 in whole turns.
  const lapOf = (diameterMm: number): Lap => ({
    id: `round-${diameterMm}`,
    title: '',
    outline: { shape: 'round', diameterMm },
    facets: null,
    load: { addedN: 2, lapWeightN: 1, armWeightN: 1 },
    pivotHeightMm: 5,
    friction: 0.3,
    rotation: 'driven',
  });

  it('reaches 23 nm relaxed and 24 nm in whole turns even with the larger laps alone', () => {
    const profiles = [40, 60, 80].flatMap((diameterMm) => {
      const settings = { glass: testGlass(), lap: lapOf(diameterMm), kPerPa: 8e-13, stand: null, radiusMm: RADII };
      const candidates = candidatesOf({ ...settings, turntableRpm: 2.5, strokesPerMinute: 44 });
      for (const { settingMm, lengthMm } of candidates) {
        const overhang = Math.hypot(settingMm, lengthMm / 2) + diameterMm / 2 - 100;
        expect(overhang).toBeLessThanOrEqual(0.25 * diameterMm + 1e-9);
      }
      return candidates.map((one) => one.profileNmPerTurn);
    });
    const fit = fitNonNegative(profiles.map(freed), freed(TARGET));
    expect(fit.certificate.holds).toBe(true);
    expect(fit.residualNorm).toBeLessThan(23);
    expect(rmsAfter(profiles, fit.x.map(Math.round))).toBeLessThan(24);
  });
});
