/** The radii a figure is given at, and the area each of them stands for. */
import type { Glass } from '../shelf/types';

/** Fine enough that a raised ring three percent of the aperture wide still has five points, small enough to be quick. */
const STEPS = 150;

/** Ascending from the axis (or the rim of the central hole) to the rim of the clear aperture, evenly spaced, mm. */
export function gridOf(glass: Glass): Float64Array {
  return evenRadii(glass.holeMm / 2, glass.clearApertureMm / 2);
}

export function evenRadii(fromMm: number, toMm: number): Float64Array {
  const step = (toMm - fromMm) / STEPS;
  return Float64Array.from({ length: STEPS + 1 }, (_, i) => (i === STEPS ? toMm : fromMm + i * step));
}

/**
 * Shares of the area for evenly spaced radii, as weights of a quadrature of f(r) r dr: the trapezoid rule with its first end
 * correction (Gregory), at the axis from f r having the slope f there. Error falls with the fourth power of the step.
 */
export function areaShares(radiusMm: Float64Array): Float64Array {
  const last = radiusMm.length - 1;
  const area = Float64Array.from(radiusMm);
  const ends = [3 / 8, 7 / 6, 23 / 24];
  ends.forEach((share, i) => {
    area[last - i] = share * radiusMm[last - i]!;
    if (radiusMm[0]! > 0) area[i] = share * radiusMm[i]!;
  });
  if (radiusMm[0] === 0) area[0] = (radiusMm[1]! - radiusMm[0]) / 12;
  const whole = area.reduce((sum, share) => sum + share, 0);
  return area.map((share) => share / whole);
}
