/** The radii a figure is given at, with the area each of them stands for. */
import type { Glass } from '../shelf/types';

/** Fine enough that a raised ring three percent of the aperture wide still has five points, small enough to be quick. */
const STEPS = 150;

export interface Grid {
  /** Ascending from the axis (or the rim of the central hole) to the rim of the clear aperture, evenly spaced. */
  radiusMm: Float64Array;
  /** Share of the area, summing to 1 over the whole grid. */
  area: Float64Array;
}

export function gridOf(glass: Glass): Grid {
  return makeGrid(glass.holeMm / 2, glass.clearApertureMm / 2);
}

export function makeGrid(fromMm: number, toMm: number): Grid {
  const step = (toMm - fromMm) / STEPS;
  const radiusMm = Float64Array.from({ length: STEPS + 1 }, (_, i) => (i === STEPS ? toMm : fromMm + i * step));
  return { radiusMm, area: areaShares(radiusMm) };
}

/** Shares of 2 pi r dr by hat functions between the radii: exact for what is linear between them. */
export function areaShares(radiusMm: Float64Array): Float64Array {
  const area = new Float64Array(radiusMm.length);
  for (let i = 1; i < radiusMm.length; i++) {
    const a = radiusMm[i - 1]!;
    const b = radiusMm[i]!;
    area[i - 1]! += ((b - a) * (2 * a + b)) / 6;
    area[i]! += ((b - a) * (a + 2 * b)) / 6;
  }
  const whole = area.reduce((sum, share) => sum + share, 0);
  return area.map((share) => share / whole);
}
