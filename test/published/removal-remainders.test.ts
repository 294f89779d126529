/** What stays behind: clocking, evenness, ripple, misfit. Each test names where its numbers come from. */
import { describe, expect, it } from 'vitest';
import { lapPattern } from '../../planner/removal/pattern';
import { crowding, misfitOnConicNm, rippleNm } from '../../planner/removal/remainders';
import { prepareRemoval } from '../../planner/removal/removal';
import { FLAT_GLASS, formulaPath, starLap } from '../removal/support';

const AZIMUTHS = 360;
const JOB = { settingMm: 90, lengthMm: 50 };

/** Order m round the glass of the pattern that a path leaves, at each ring: [re, im]. */
function patternOrder(
  turns: number,
  strokes: number,
  points: number,
  lapTurnsOfStroke: (i: number) => number,
  m: number,
) {
  const path = formulaPath({ turns, strokes, ...JOB, lapTurnsOfStroke });
  const lap = starLap(30, points, 15);
  const removal = prepareRemoval({ path, lap, glass: FLAT_GLASS, kPerPa: 1e-12, pointStepMm: 1.5 });
  const { depthNm, rings } = lapPattern(removal, AZIMUTHS)!;
  return Array.from({ length: rings.count }, (_, j) => {
    let [re, im] = [0, 0];
    for (let c = 0; c < AZIMUTHS; c++) {
      re += depthNm[j * AZIMUTHS + c]! * Math.cos((2 * Math.PI * m * c) / AZIMUTHS);
      im -= depthNm[j * AZIMUTHS + c]! * Math.sin((2 * Math.PI * m * c) / AZIMUTHS);
    }
    return [re / AZIMUTHS, im / AZIMUTHS] as const;
  });
}

const size = (rings: readonly (readonly [number, number])[]): number =>
  Math.sqrt(rings.reduce((sum, [re, im], j) => sum + j * (re * re + im * im), 0));

describe('clocking', () => {
  // Evans & Kestner, Applied Optics 35 (1996): the mean over N even orientations keeps the orders k N and no others. The lap starts
  // a little turned: a star that lies symmetrically to the stroke hides its odd orders.
  const rings = (points: number, clockings: number): number =>
    size(patternOrder(7, 120, points, (i) => 0.03 + (i % clockings) / clockings, 0));

  it.each([
    [2, 2, 1],
    [2, 4, 0],
    [3, 2, 0],
    [3, 3, 1],
    [3, 6, 0],
    [5, 2, 0],
    [5, 5, 1],
  ])('a star of %s points, %s orientations: its first order stays (%s)', (points, clockings, stays) => {
    const left = rings(points, clockings) / rings(points, 1);
    if (stays === 1) expect(left).toBeCloseTo(1, 2);
    else expect(left).toBeLessThan(0.35);
  });

  it('of three points, 4 and 12 orientations leave the same (order 12), 5 leave less (order 15)', () => {
    const [four, five, twelve] = [4, 5, 12].map((clockings) => rings(3, clockings));
    expect(twelve! / four!).toBeCloseTo(1, 1);
    expect(five!).toBeLessThan(0.9 * four!);
  });
});

describe('joint evenness', () => {
  // N = 7, M = 120, the lap clocked every 3rd stroke by 7/40 of a turn: the mean of exp 2 pi i(2 azimuth - 2 lap) over the strokes is
  // 0.8288 (computed), so the two-fold fault of a lap prints as astigmatism nearly whole.
  it('prints a two-pointed star as astigmatism with 0.8288 of its own', () => {
    const clocked = (i: number): number => (Math.floor(i / 3) * 7) / 40;
    const printed = patternOrder(7, 120, 2, clocked, 2);
    // One stroke's order 2 for lap order 2 alone, by turning the lap through 24 orientations in one stroke each.
    const parts = Array.from({ length: 24 }, (_, k) => patternOrder(1 / 17, 1, 2, () => k / 24, 2));
    const own = (h: number): (readonly [number, number])[] =>
      printed.map((_, j) => {
        let [re, im] = [0, 0];
        parts.forEach((part, k) => {
          const angle = (2 * Math.PI * h * k) / 24;
          re += (part[j]![0] * Math.cos(angle) - part[j]![1] * Math.sin(angle)) / 24;
          im += (part[j]![0] * Math.sin(angle) + part[j]![1] * Math.cos(angle)) / 24;
        });
        return [re, im] as const;
      });
    const sense = size(own(2)) > size(own(-2)) ? 2 : -2;
    const steps = Array.from({ length: 120 }, (_, i) => {
      const angle = 2 * Math.PI * (2 * ((i * 7) / 120) - sense * clocked(i));
      return [Math.cos(angle), Math.sin(angle)] as const;
    });
    const mean = Math.hypot(...([0, 1] as const).map((k) => steps.reduce((sum, step) => sum + step[k], 0) / 120));
    expect(mean).toBeCloseTo(0.8288, 4);
    expect(size(printed) / (120 * size(own(sense)))).toBeCloseTo(mean, 2);
  });
});

describe('ripple of repeated settings', () => {
  // Poisson's sum: Gaussians of sigma at a spacing h add up to a ripple of 2 exp(-2 pi^2 sigma^2/h^2) of their mean.
  it.each([
    // The sum's second term, 0.00164, has half the period and is not asked for.
    [0.3, 0.34008946 - 0.00164015],
    [0.4, 0.085004637],
    [0.5, 0.014383772],
    [0.6, 0.0016401493],
  ])('Gaussian footprints of %s of the spacing', (sigma, expected) => {
    const spacing = 8;
    const stepMm = 0.05;
    const settings = Array.from({ length: 15 }, (_, i) => 40 + spacing * i);
    const depth = Float64Array.from({ length: 4001 }, (_, j) =>
      settings.reduce((sum, at) => sum + Math.exp(-0.5 * ((j * stepMm - at) / (sigma * spacing)) ** 2), 0),
    );
    const mean = sigma * Math.sqrt(2 * Math.PI);
    // Only where the neighbours on both sides are there too.
    expect(rippleNm(stepMm, depth, settings.slice(3, -3)) / mean).toBeCloseTo(expected, 3);
  });

  it('is none for one or two settings, and none on a smooth slope', () => {
    const slope = Float64Array.from({ length: 400 }, (_, j) => 3 * j + 0.01 * j * j);
    expect(rippleNm(0.5, slope, [80, 90])).toBe(0);
    expect(rippleNm(0.5, slope, [80, 90, 100, 110])).toBeLessThan(1e-9);
  });
});

describe('clocking misfit', () => {
  it('on a paraboloid: a^2 r^2/(2 R^3) to first order, 1.302 um, exactly 1.289 (computed)', () => {
    const found = misfitOnConicNm(30, 200, 2400, -1);
    expect(found / 1000).toBeCloseTo(1.289, 3);
    expect(found / ((1e6 * 30 ** 2 * 200 ** 2) / (2 * 2400 ** 3))).toBeCloseTo(1.289 / 1.302, 3);
  });

  it('is nothing on a sphere and at the middle', () => {
    expect(misfitOnConicNm(30, 200, 2400, 0)).toBe(0);
    expect(misfitOnConicNm(30, 0, 2400, -1)).toBe(0);
  });
});

describe('crowding of reversals', () => {
  it('is 1 when they are evenly spread and rises when they gather', () => {
    const even = Array.from({ length: 120 }, (_, i) => (i * 7) / 120);
    expect(crowding(even, 0.1)).toBeCloseTo(1, 3);
    const gathered = even.map((place) => (place - Math.floor(place)) / 2);
    expect(crowding(gathered, 0.1)).toBeCloseTo(2, 1);
    expect(crowding([0.3], 0.1)).toBeGreaterThan(8);
  });
});
