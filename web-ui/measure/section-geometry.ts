/** Where things lie in the drawing of the half-section, and its curves as paths; pure. */
import { niceStep } from '../plan/sheet-geometry';
import type { LengthUnit } from '../words';

export interface Section {
  widthPx: number;
  /** The glass from its axis to its rim. */
  axisXPx: number;
  rimXPx: number;
  rimMm: number;
  /** The strip that heights are drawn in. */
  topYPx: number;
  bottomYPx: number;
  lowNm: number;
  highNm: number;
}

export function xOf({ axisXPx, rimXPx, rimMm }: Section, radiusMm: number): number {
  return axisXPx + ((rimXPx - axisXPx) * radiusMm) / rimMm;
}

export function yOf({ topYPx, bottomYPx, lowNm, highNm }: Section, heightNm: number): number {
  return bottomYPx - ((bottomYPx - topYPx) * (heightNm - lowNm)) / (highNm - lowNm);
}

/** Least height the drawing has room for: a true glass is not blown up to look bad. */
const LEAST_RANGE_NM = 20;

/** Room for all of the values, with whole marks at both ends. */
export function heightRange(values: Iterable<number>): { lowNm: number; highNm: number; stepNm: number } {
  let [low, high] = [0, 0];
  for (const value of values) {
    if (value < low) low = value;
    if (value > high) high = value;
  }
  const range = Math.max(LEAST_RANGE_NM, high - low);
  const stepNm = niceStep(range, 4);
  return {
    lowNm: Math.floor((low - 0.04 * range) / stepNm) * stepNm,
    highNm: Math.ceil((Math.max(high, low + LEAST_RANGE_NM) + 0.04 * range) / stepNm) * stepNm,
    stepNm,
  };
}

export function marks(lowNm: number, highNm: number, stepNm: number): number[] {
  const out: number[] = [];
  for (let k = Math.round(lowNm / stepNm); k * stepNm <= highNm + 1e-9; k++) out.push(k * stepNm + 0);
  return out;
}

/** The part from `first` to `last` of a curve, as an SVG path. */
export function curvePath(
  section: Section,
  radiusMm: ArrayLike<number>,
  heightNm: ArrayLike<number>,
  first = 0,
  last = radiusMm.length - 1,
): string {
  let path = '';
  for (let i = first; i <= last; i++) {
    path += `${i === first ? 'M' : 'L'}${point(xOf(section, radiusMm[i]!), yOf(section, heightNm[i]!))}`;
  }
  return path;
}

/** The area between two curves over the same radii. */
export function betweenPath(
  section: Section,
  radiusMm: ArrayLike<number>,
  upperNm: ArrayLike<number>,
  lowerNm: ArrayLike<number>,
  first = 0,
  last = radiusMm.length - 1,
): string {
  let path = curvePath(section, radiusMm, upperNm, first, last);
  for (let i = last; i >= first; i--) path += `L${point(xOf(section, radiusMm[i]!), yOf(section, lowerNm[i]!))}`;
  return `${path}Z`;
}

function point(x: number, y: number): string {
  return `${x.toFixed(1)} ${y.toFixed(1)}`;
}

/** First and last index of the radii between two. */
export function indicesWithin(radiusMm: ArrayLike<number>, fromMm: number, toMm: number): [number, number] {
  let first = 0;
  let last = radiusMm.length - 1;
  while (first < last && radiusMm[first]! < fromMm - 1e-6) first++;
  while (last > first && radiusMm[last]! > toMm + 1e-6) last--;
  return [first, last];
}

/** Round radii from the axis to the rim, in the person's unit, which the last of them names. */
export function radiusMarks(rimMm: number, unit: LengthUnit): { mm: number; name: string }[] {
  const per = unit === 'mm' ? 1 : 25.4;
  const step = niceStep(rimMm / per, 4);
  const count = Math.floor(rimMm / per / step + 1e-9);
  return Array.from({ length: count + 1 }, (_, i) => {
    const at = Number((i * step).toPrecision(6));
    return { mm: at * per, name: i === count ? `${at} ${unit}` : String(at) };
  });
}
