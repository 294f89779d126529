import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { weightedFit } from '../../planner/figure/cholesky';
import { askedConic } from '../../planner/figure/conic';
import { reduce } from '../../planner/figure/reduce';
import type { ProfileMeasurement } from '../../planner/figure/types';
import { equalWindows, profileOf, readingsOf, rings, softRings, testGlass } from './synthetic';

const glass = testGlass();

/** The surface itself, given as a dense profile: what readings of it must come back to. */
function asProfile(heightNm: (r: number) => number): ProfileMeasurement {
  const points = Array.from({ length: 401 }, (_, i) => ({ radiusMm: i / 4, heightNm: heightNm(i / 4), sigmaNm: 0 }));
  return profileOf(glass, points);
}

describe('surface to readings to surface', () => {
  it('comes back within 0.5 nm for smooth surfaces and fine masks, either source, whatever the zero', () => {
    const ring = fc.record({
      radiusMm: fc.double({ min: 0, max: 90, noNaN: true }),
      widthMm: fc.double({ min: 30, max: 90, noNaN: true }),
      heightNm: fc.double({ min: -150, max: 150, noNaN: true }),
    });
    const cases = fc.record({
      list: fc.array(ring, { minLength: 1, maxLength: 3 }),
      source: fc.constantFrom('moving' as const, 'fixed' as const),
      zeroMm: fc.double({ min: -20, max: 20, noNaN: true }),
    });
    fc.assert(
      fc.property(cases, ({ list, source, zeroMm }) => {
        const error = softRings(list);
        const measured = reduce(
          readingsOf(glass, askedConic(glass), error, equalWindows(30, 0, 100), { source, zeroMm }),
        );
        const truth = reduce(asProfile(error.heightNm));
        const worst = Math.max(...measured.surfaceNm.map((h, i) => Math.abs(h - truth.surfaceNm[i]!)));
        expect(worst).toBeLessThan(0.5);
      }),
      { numRuns: 60, seed: 20_261 },
    );
  });

  it('knows the height at the edges of adjoining windows exactly, whatever lies between them', () => {
    // The mean of X(r) weighted with r over a window is the height step over it: nothing to be interpolated. Only the focus,
    // which a reading's zero leaves open, is taken off. That holds for a defect of half a window just as well.
    const error = rings([{ radiusMm: 43, widthMm: 6, heightNm: 80 }]);
    const windows = equalWindows(10, 0, 100);
    const { steps } = reduce(readingsOf(glass, askedConic(glass), error, windows, {}));
    const focus = Float64Array.from(steps!, (step) => step.plusMm ** 2 - step.minusMm ** 2);
    const off = Float64Array.from(
      steps!,
      (step) => step.stepNm - (error.heightNm(step.plusMm) - error.heightNm(step.minusMm)),
    );
    const [share] = weightedFit([focus], off, new Float64Array(off.length).fill(1));
    off.forEach((value, i) => {
      // To first order in the slope of the defect over that of the curve, 0.2 % here: a third of a nanometre of 80.
      expect(Math.abs(value - share! * focus[i]!)).toBeLessThan(0.4);
    });
  });

  it('equal and falling readings are ordinary', () => {
    const windows = equalWindows(6, 0, 100);
    const base = readingsOf(glass, askedConic(glass), rings([]), windows, { statedMm: 0.02 });
    for (const readingMm of [
      [1, 1, 1, 1, 1, 1],
      [2, 1.5, 1.2, 1, 0.5, 0.1],
      [0, 0.3, 0.1, 0.9, 0.7, 2],
    ]) {
      const figure = reduce({ ...base, takes: [{ ...base.takes[0]!, readingMm }] });
      for (const height of [...figure.surfaceNm, ...figure.bandNm, figure.pvNm, figure.rmsNm, figure.strehl]) {
        expect(Number.isFinite(height)).toBe(true);
      }
    }
  });
});
