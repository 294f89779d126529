/**
 * How ellipse, star, nudge and stroke length shape the zone, R = 100 mm, a = 30 mm, L = 60 mm, 18 strokes a turn, a driven lap that
 * does not turn. Figures computed apart, by stamping with numpy from the formulas; common practice where that is said.
 */
import { describe, expect, it } from 'vitest';
import {
  centroidMm,
  depthAtNm,
  fallsToMm,
  flankWidthMm,
  type Profile,
  peakIndex,
  widthAboveMm,
} from '../../planner/removal/profile-measures';
import type { Lap } from '../../planner/shelf/types';
import { type FormulaStroke, formulaPath, roundLap, starLap, unitProfile } from '../removal/support';

function zone(more: Partial<FormulaStroke> = {}, lap: Lap = roundLap(30)): Profile {
  const path = formulaPath({ turns: 1, strokes: 18, settingMm: 100, lengthMm: 60, ...more });
  const { values, stepMm } = unitProfile(path, lap, { count: 18 * 256, stepMm: 0.25, rimMm: 190 });
  return { depthNm: values, stepMm };
}

const peak = (profile: Profile): number => profile.depthNm[peakIndex(profile)]!;
/** Steepest slope of the flank as a share of the peak, 1/mm, within 2 mm of the place where it is half the peak. */
const steepest = (profile: Profile, way: 1 | -1): number => 0.8 / flankWidthMm(profile, way)!;

describe('an ellipse of 20 mm width', () => {
  // With the x = -(L/2) cos psi of a stroke, y = s + (W/2) sin psi runs clockwise, the other sense anticlockwise.
  const straight = zone();
  const clockwise = zone({ widthMm: 20 });
  const anticlockwise = zone({ widthMm: -20 });

  it('widens the 10 % base by 14 to 15 mm', () => {
    for (const ellipse of [clockwise, anticlockwise]) {
      const wider = widthAboveMm(ellipse, 0.1) - widthAboveMm(straight, 0.1);
      expect(wider).toBeGreaterThan(13.9);
      expect(wider).toBeLessThan(15);
    }
  });

  it('narrows the width at half height from 51.5 to 47.5 mm', () => {
    expect(widthAboveMm(straight, 0.5)).toBeCloseTo(51.58, 1);
    expect(widthAboveMm(clockwise, 0.5)).toBeCloseTo(47.72, 1);
    expect(widthAboveMm(anticlockwise, 0.5)).toBeCloseTo(47.27, 1);
  });

  it('shifts the centroid by about 1.5 mm one way or the other with its sense', () => {
    expect(centroidMm(clockwise) - centroidMm(straight)).toBeCloseTo(1.69, 1);
    expect(centroidMm(anticlockwise) - centroidMm(straight)).toBeCloseTo(-1.48, 1);
  });
});

describe('a star cut back by 15 mm, at equal load', () => {
  const round = zone();
  const star = zone({}, starLap(30, 8, 15));
  const narrow = zone({}, roundLap(22));

  it('narrows the half-height width from 51 to 37 mm and raises the peak by 28 %', () => {
    expect(widthAboveMm(star, 0.5)).toBeCloseTo(37.5, 1);
    expect(peak(star) / peak(round)).toBeCloseTo(1.277, 2);
  });

  it('softens the inner rim from 14.3 to 15.7 mm but sharpens the outer from 20.5 to 18.5 against the same round lap', () => {
    expect(flankWidthMm(round, -1)).toBeCloseTo(14.29, 1);
    expect(flankWidthMm(star, -1)).toBeCloseTo(15.69, 1);
    expect(flankWidthMm(round, 1)).toBeCloseTo(20.53, 1);
    expect(flankWidthMm(star, 1)).toBeCloseTo(18.52, 1);
  });

  it('softens both rims against a round lap of the same half-height width (common practice)', () => {
    expect(widthAboveMm(narrow, 0.5)).toBeCloseTo(widthAboveMm(star, 0.5), 0);
    expect(flankWidthMm(narrow, -1)).toBeCloseTo(11.41, 1);
    expect(flankWidthMm(narrow, 1)).toBeCloseTo(14.68, 1);
    for (const way of [1, -1] as const)
      expect(flankWidthMm(star, way)!).toBeGreaterThan(1.2 * flankWidthMm(narrow, way)!);
  });
});

describe('the length of the stroke', () => {
  it('decides which rim is sharper: turntable motion alone the outer, a long stroke the inner', () => {
    const short = zone({ lengthMm: 4 });
    // A quick computation on a coarser lattice gave 20.8 and 14.0; ever finer rings settle at 20.72 and 13.89.
    expect(Math.abs(flankWidthMm(short, -1)! - 20.8)).toBeLessThan(0.15);
    expect(Math.abs(flankWidthMm(short, 1)! - 14)).toBeLessThan(0.2);
    const long = zone();
    expect(flankWidthMm(long, -1)!).toBeLessThan(flankWidthMm(long, 1)!);
  });
});

describe('common practice, no source', () => {
  it('a nudge inward softens the inner rim and leaves the foot of the outer', () => {
    const plain = zone();
    const nudged = zone({ turns: 5, strokes: 90, nudge: { everyStrokes: 3, byMm: 15 } });
    expect(flankWidthMm(nudged, -1)! / flankWidthMm(plain, -1)!).toBeGreaterThan(1.15);
    expect(fallsToMm(plain, 0.1, -1)! - fallsToMm(nudged, 0.1, -1)!).toBeGreaterThan(4);
    expect(Math.abs(fallsToMm(plain, 0.1, 1)! - fallsToMm(nudged, 0.1, 1)!)).toBeLessThan(0.5);
  });

  it('the slope at a rim exceeds the slope anywhere about the middle', () => {
    const profile = zone();
    let middle = 0;
    for (let r = 90; r < 110; r += 0.5) {
      middle = Math.max(middle, Math.abs(depthAtNm(profile, r + 0.5) - depthAtNm(profile, r)) / 0.5 / peak(profile));
    }
    for (const way of [1, -1] as const) expect(steepest(profile, way)).toBeGreaterThan(2 * middle);
  });

  it('a narrow ellipse makes a lap of 76 mm act like one of 89 to 95 mm', () => {
    // Width of the 10 % base of the zone, against that of straight strokes with larger laps.
    const base = (profile: Profile): number => fallsToMm(profile, 0.1, 1)! - fallsToMm(profile, 0.1, -1)!;
    const stroke = { settingMm: 110, lengthMm: 70 };
    const ellipse = base(zone({ ...stroke, widthMm: 20 }, roundLap(38)));
    expect(ellipse).toBeGreaterThan(base(zone(stroke, roundLap(89 / 2))));
    expect(ellipse).toBeLessThan(base(zone(stroke, roundLap(95 / 2))));
  });

  it('at equal load a smaller lap presses harder and takes more at its peak', () => {
    const small = zone({}, roundLap(15));
    expect(peak(small)).toBeGreaterThan(1.9 * peak(zone()));
  });
});
