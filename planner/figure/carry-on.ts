/**
 * What an earlier measurement still tells after a run. The glass before, less what the forecast says was taken off, is an
 * expectation of the glass now; where the same mask was used it is averaged with the new readings, each by its doubt. So noise
 * falls from one measurement to the next instead of starting anew.
 */
import { type Conic, focusShapeMm2 } from './conic';
import type { ObservedStep } from './from-readings';
import { type Curve, splineThrough } from './spline';
import type { Figure } from './types';

/** What is expected of the glass before it is measured again. */
export interface Expectation {
  /** Height over the asked conic, nm by radius in mm, with all the detail that the forecast has and a mask does not see. */
  curve: Curve;
  steps: ObservedStep[];
}

/**
 * What a figure leads to expect after a run; null for a figure that was not made from readings.
 *
 * @param removedNm what the forecast takes off at a radius, with the coefficient as learned, nm; all zero: nothing was run
 * @param doubt relative standard deviation of that
 */
export function carryOn(before: Figure, removedNm: Curve, doubt: number): Expectation | null {
  if (!before.steps) return null;
  const surface = splineThrough(before.radiusMm, before.surfaceNm);
  const steps = before.steps.map(({ plusMm, minusMm, stepNm, sigmaNm }) => {
    const removed = removedNm.value(plusMm) - removedNm.value(minusMm);
    return { plusMm, minusMm, stepNm: stepNm - removed, sigmaNm: Math.hypot(sigmaNm, doubt * removed) };
  });
  const curve = {
    value: (r: number) => surface.value(r) - removedNm.value(r),
    slope: (r: number) => surface.slope(r) - removedNm.slope(r),
  };
  return { steps, curve };
}

/**
 * The weighted mean of what was observed and what was carried on; null where they do not belong to the same windows. A common
 * focus between the two is free, for a reading's zero is. Where they differ by more than their doubts explain, the expectation
 * is doubted until they agree: the new readings are what was seen.
 */
export function together(
  observed: readonly ObservedStep[],
  carried: readonly ObservedStep[],
  conic: Conic,
): ObservedStep[] | null {
  const sameMask =
    observed.length === carried.length &&
    observed.every(({ plusMm, minusMm }, i) => {
      const other = carried[i]!;
      return Math.abs(plusMm - other.plusMm) < 1e-6 && Math.abs(minusMm - other.minusMm) < 1e-6;
    });
  if (!sameMask || observed.length < 3) return null;
  const focus = observed.map(({ plusMm, minusMm }) => focusShapeMm2(conic, plusMm) - focusShapeMm2(conic, minusMm));
  const difference = observed.map((step, i) => step.stepNm - carried[i]!.stepNm);
  const variance = (more: number): number[] => {
    return observed.map((step, i) => step.sigmaNm ** 2 + more * carried[i]!.sigmaNm ** 2);
  };
  let shift = commonFocus(difference, focus, variance(1));
  const freedom = observed.length - 1;
  let more = 1;
  for (let round = 0; round < 20; round++) {
    const v = variance(more);
    shift = commonFocus(difference, focus, v);
    const misfit = difference.reduce((sum, d, i) => sum + (d - shift * focus[i]!) ** 2 / v[i]!, 0) / freedom;
    if (misfit <= 1.05) break;
    more *= misfit;
  }
  return observed.map((step, i) => {
    const own = 1 / step.sigmaNm ** 2;
    const earlier = 1 / (more * carried[i]!.sigmaNm ** 2);
    const expected = carried[i]!.stepNm + shift * focus[i]!;
    const stepNm = (own * step.stepNm + earlier * expected) / (own + earlier);
    return { ...step, stepNm, sigmaNm: 1 / Math.sqrt(own + earlier) };
  });
}

function commonFocus(difference: number[], focus: number[], variance: number[]): number {
  let top = 0;
  let bottom = 0;
  difference.forEach((d, i) => {
    top += (d * focus[i]!) / variance[i]!;
    bottom += focus[i]! ** 2 / variance[i]!;
  });
  return top / bottom;
}
