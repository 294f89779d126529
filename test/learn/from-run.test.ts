import { describe, expect, it } from 'vitest';
import { carryOn } from '../../planner/figure/carry-on';
import { askedConic } from '../../planner/figure/conic';
import { reduce } from '../../planner/figure/reduce';
import { splineThrough } from '../../planner/figure/spline';
import type { Figure } from '../../planner/figure/types';
import { evidenceOf } from '../../planner/learn/from-run';
import type { MeasuredRun } from '../../planner/learn/types';
import {
  equalWindows,
  type HeightError,
  profileOf,
  readingsOf,
  rings,
  softRings,
  testGlass,
} from '../figure/synthetic';
import { seeded } from '../support/random';

const glass = testGlass();
const windows = equalWindows(10, 0, 100);
const START = rings([{ radiusMm: 60, widthMm: 70, heightNm: 120 }]);
/** What the forecast takes off, nm. */
const FORECAST = softRings([{ radiusMm: 60, widthMm: 40, heightNm: 80 }]);
const RADII = Array.from({ length: 101 }, (_, i) => i);

function minus(a: HeightError, b: HeightError, times: number): HeightError {
  return {
    heightNm: (r) => a.heightNm(r) - times * b.heightNm(r),
    slopeNmPerMm: (r) => a.slopeNmPerMm(r) - times * b.slopeNmPerMm(r),
  };
}

function measured(error: HeightError, random: () => number, noiseMm = 0.02): Figure {
  return reduce(readingsOf(glass, askedConic(glass), error, windows, { noiseMm, random, zeroMm: 8 * random() }));
}

function asProfile(error: HeightError): Figure {
  const points = RADII.map((radiusMm) => ({ radiusMm, heightNm: error.heightNm(radiusMm), sigmaNm: 0 }));
  return reduce(profileOf(glass, points));
}

function runOf(before: Figure, after: Figure, change: Partial<MeasuredRun> = {}): MeasuredRun {
  return {
    id: 'tuesday',
    lapId: 'round-40',
    slurryId: null,
    glassId: glass.id,
    before,
    after,
    forecast: { radiusMm: RADII, removalNm: RADII.map((r) => FORECAST.heightNm(r)) },
    kPerPa: 8e-13,
    minutesBefore: 0,
    minutes: 60,
    meanSpeedMmPerS: 80,
    ...change,
  };
}

describe('what one run teaches', () => {
  it('is the ratio of what was removed to the forecast, within its own doubt, over 150 noisy runs', () => {
    const random = seeded(42);
    let sum = 0;
    let outside = 0;
    let doubt = 0;
    for (let i = 0; i < 150; i++) {
      const after = measured(minus(START, FORECAST, 0.7), random);
      const evidence = evidenceOf(runOf(measured(START, random), after))!;
      sum += evidence.ratio;
      doubt += evidence.kSigmaPerPa / 8e-13;
      if (Math.abs(evidence.kPerPa - 0.7 * 8e-13) > 1.96 * evidence.kSigmaPerPa) outside++;
    }
    expect(sum / 150).toBeGreaterThan(0.69);
    expect(sum / 150).toBeLessThan(0.71);
    // Five in a hundred may lie outside; the doubt has a floor and follows the misfit, so a little fewer do.
    expect(outside / 150).toBeLessThan(0.07);
    expect(doubt / 150).toBeLessThan(0.12);
  });

  it('is the same from profiles of the surface', () => {
    const evidence = evidenceOf(runOf(asProfile(START), asProfile(minus(START, FORECAST, 1.3))))!;
    expect(evidence.ratio).toBeCloseTo(1.3, 2);
    expect(evidence.causes).toEqual([]);
  });

  it('is not misled by a change of focus between the measurements', () => {
    const refocused = minus(
      minus(START, FORECAST, 0.8),
      { heightNm: (r) => 0.02 * r * r, slopeNmPerMm: (r) => 0.04 * r },
      1,
    );
    const random = seeded(4);
    const evidence = evidenceOf(runOf(measured(START, random, 0.002), measured(refocused, random, 0.002)))!;
    expect(evidence.ratio).toBeCloseTo(0.8, 1);
  });

  it('is nothing where the run took off what cannot be told from focus', () => {
    const level = RADII.map((r) => 0.001 * r * r);
    const random = seeded(1);
    const run = runOf(measured(START, random), measured(START, random), {
      forecast: { radiusMm: RADII, removalNm: level },
    });
    expect(evidenceOf(run)).toBeNull();
  });

  it('shows where the shape disagreed and what may cause it', () => {
    const more = softRings([{ radiusMm: 97, widthMm: 18, heightNm: 60 }]);
    const after = minus(minus(START, FORECAST, 1), more, 1);
    const evidence = evidenceOf(runOf(asProfile(START), asProfile(after)))!;
    // Focus and a smaller ratio explain some of it; what is left peaks where the rim lost more.
    const most = Math.max(...evidence.shapeResidualNm);
    expect(most).toBeGreaterThan(10);
    expect(evidence.radiusMm[evidence.shapeResidualNm.indexOf(most)]!).toBeGreaterThan(90);
    expect(evidence.misfit).toBeGreaterThan(2);
    expect(evidence.causes[0]).toMatch(
      /^The rim lost \d+ nm more than forecast: the lap presses harder where it hangs over/,
    );
    // The doubt grows with the misfit, so that a wrong shape is not taken for a sure coefficient.
    const agreeing = evidenceOf(runOf(asProfile(START), asProfile(minus(START, FORECAST, 1))))!;
    expect(evidence.kSigmaPerPa).toBeGreaterThan(1.5 * agreeing.kSigmaPerPa);
  });

  it('finds a lap that leans inwards', () => {
    const inner = softRings([{ radiusMm: 45, widthMm: 18, heightNm: 40 }]);
    const outer = softRings([{ radiusMm: 75, widthMm: 18, heightNm: -40 }]);
    const after = minus(minus(minus(START, FORECAST, 1), inner, 1), outer, 1);
    const { causes } = evidenceOf(runOf(asProfile(START), asProfile(after)))!;
    expect(causes.some((words) => words.startsWith('The inner side of the worked zone lost more'))).toBe(true);
  });
});

describe('a measurement carried over a run', () => {
  const removed = splineThrough(
    RADII,
    RADII.map((r) => FORECAST.heightNm(r)),
  );

  it('makes the next one surer, and no less true, over 80 runs', () => {
    const random = seeded(77);
    const truth = asProfile(minus(START, FORECAST, 1));
    const errorOf = (figure: Figure): number => {
      return Math.sqrt(
        figure.surfaceNm.reduce((sum, h, i) => sum + figure.area[i]! * (h - truth.surfaceNm[i]!) ** 2, 0),
      );
    };
    let alone = 0;
    let joined = 0;
    for (let i = 0; i < 80; i++) {
      const before = measured(START, random);
      const after = readingsOf(glass, askedConic(glass), minus(START, FORECAST, 1), windows, { noiseMm: 0.02, random });
      const one = reduce(after);
      const both = reduce(after, 'best fit', carryOn(before, removed, 0.05));
      alone += errorOf(one) ** 2;
      joined += errorOf(both) ** 2;
      expect(both.bandNm[50]!).toBeLessThan(one.bandNm[50]!);
    }
    expect(Math.sqrt(joined / alone)).toBeLessThan(0.9);
  });

  it('gives way to readings that say otherwise', () => {
    // The forecast said 80 nm; nothing came off.
    const random = seeded(5);
    const before = measured(START, random, 0.005);
    const after = readingsOf(glass, askedConic(glass), START, windows, { noiseMm: 0.005, random });
    const both = reduce(after, 'best fit', carryOn(before, removed, 0.05));
    const alone = reduce(after);
    both.surfaceNm.forEach((height, i) => {
      expect(Math.abs(height - alone.surfaceNm[i]!)).toBeLessThan(15);
    });
  });

  it('is left out where the mask was another one', () => {
    const random = seeded(6);
    const other = reduce(
      readingsOf(glass, askedConic(glass), START, equalWindows(8, 0, 100), { noiseMm: 0.02, random }),
    );
    const after = readingsOf(glass, askedConic(glass), START, windows, { noiseMm: 0.02, random });
    expect(reduce(after, 'best fit', carryOn(other, removed, 0.05)).surfaceNm).toEqual(reduce(after).surfaceNm);
    expect(carryOn(asProfile(START), removed, 0.05)).toBeNull();
  });
});
