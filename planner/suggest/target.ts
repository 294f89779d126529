/** What should be taken off, nm by radius: never negative, for glass can only be taken away. */
import { askedConic, focusShapeMm2 } from '../figure/conic';
import { referenceLine } from '../figure/reference';
import type { Figure } from '../figure/types';

export interface TargetChoice {
  /** Raises the reference: what lies lower than this under it may stay, nm. 0: everything is brought down to the lowest zone. */
  allowedLowNm: number;
  /** How much more the rim counts than the middle when a choice must be made; 1: by area alone. */
  edgeWeight: number;
}

export interface Target {
  radiusMm: Float64Array;
  /** To be taken off at each radius, >= 0. */
  removalNm: Float64Array;
  /** Surface over the final reference: removal where positive, what stays low where negative. */
  aboveNm: Float64Array;
  /** Area shares, summing to 1; 0 where nothing was measured. */
  area: Float64Array;
  /** How much each radius counts. */
  weight: Float64Array;
  /** Half width of the 95 % band of the surface, nm. */
  bandNm: Float64Array;
  /** First and last measured radius. */
  first: number;
  last: number;
  volumeMm3: number;
  /** Deepest place under the final reference, nm (positive), and where. */
  lowNm: number;
  lowAtMm: number;
}

/** Below the final reference by less than this is not called low. */
const LEVEL_NM = 0.5;

/**
 * The target against the highest curve of the asked conic that lies under the whole measured surface, raised by what may stay
 * low. Outside the measured part nothing is asked for.
 *
 * @throws RangeError for an allowance that is negative or no number: it would ask for glass to be added
 */
export function targetOf(figure: Figure, choice: TargetChoice): Target {
  if (!(choice.allowedLowNm >= 0) || !(choice.edgeWeight > 0)) {
    throw new RangeError(
      `An allowance of ${choice.allowedLowNm} nm (edge weight ${choice.edgeWeight}) would ask for glass to be added. Give 0 or more.`,
    );
  }
  const conic = askedConic(figure.glass);
  const radiusMm = Float64Array.from(figure.radiusMm);
  const area = Float64Array.from(figure.area);
  const surface = Float64Array.from(figure.surfaceNm);
  const shape = radiusMm.map((r) => focusShapeMm2(conic, r));
  const first = area.findIndex((share) => share > 0);
  const last = area.findLastIndex((share) => share > 0);
  const part = (values: Float64Array): Float64Array => values.subarray(first, last + 1);
  const line = referenceLine('highest under', part(shape), part(surface), part(area));
  const aboveNm = surface.map((h, i) => h - line.pistonNm - line.focus * shape[i]! - choice.allowedLowNm);
  const removalNm = aboveNm.map((h, i) => (i < first || i > last ? 0 : Math.max(0, h)));
  const rim = radiusMm[last]!;
  const apertureMm2 = Math.PI * (rim ** 2 - radiusMm[first]! ** 2);
  let lowNm = 0;
  let lowAtMm = 0;
  for (let i = first; i <= last; i++) {
    if (-aboveNm[i]! > lowNm + LEVEL_NM) {
      lowNm = -aboveNm[i]!;
      lowAtMm = radiusMm[i]!;
    }
  }
  return {
    radiusMm,
    removalNm,
    aboveNm,
    area,
    weight: area.map((share, i) => share * choice.edgeWeight ** ((radiusMm[i]! / rim) ** 2)),
    bandNm: Float64Array.from(figure.bandNm),
    first,
    last,
    volumeMm3: apertureMm2 * removalNm.reduce((sum, h, i) => sum + h * area[i]!, 0) * 1e-6,
    lowNm,
    lowAtMm,
  };
}

/** Local figuring against lowering everything else: the same surface with and without bringing the whole glass down to its holes. */
export interface WayDown {
  words: string;
  allowedLowNm: number;
  volumeMm3: number;
  /** At the pace the given volume rate allows; null where it is not known. */
  hours: number | null;
  /** What is left low when the target is reached, nm. */
  leftLowNm: number;
}

/**
 * @param enoughNm surface error that may stay, nm (e.g. 34 for a wavefront of 1/8 wave)
 * @param volumePerHourMm3 what the lap takes off in an hour; null when not known
 */
export function waysDown(figure: Figure, enoughNm: number, volumePerHourMm3: number | null): WayDown[] {
  const hours = (volumeMm3: number): number | null => (volumePerHourMm3 ? volumeMm3 / volumePerHourMm3 : null);
  const everything = targetOf(figure, { allowedLowNm: 0, edgeWeight: 1 });
  // Raised so far that half of the surface needs nothing: what is lower than that is the hole, what is higher the hill.
  const sorted = Array.from(everything.aboveNm.subarray(everything.first, everything.last + 1)).sort((a, b) => a - b);
  const level = sorted[sorted.length >> 1]!;
  const local = targetOf(figure, { allowedLowNm: level, edgeWeight: 1 });
  const enough = targetOf(figure, { allowedLowNm: Math.min(enoughNm, level), edgeWeight: 1 });
  const way = (target: Target, allowedLowNm: number, words: string): WayDown => ({
    words: `${words}: ${target.volumeMm3.toFixed(2)} mm3${time(hours(target.volumeMm3))}, ${target.lowNm.toFixed(0)} nm stay low.`,
    allowedLowNm,
    volumeMm3: target.volumeMm3,
    hours: hours(target.volumeMm3),
    leftLowNm: target.lowNm,
  });
  return [
    way(everything, 0, 'Lower everything to the lowest zone'),
    way(enough, Math.min(enoughNm, level), 'Lower as far as is needed'),
    way(local, level, 'Take off only what stands high'),
  ];
}

function time(hours: number | null): string {
  if (hours === null) return '';
  return hours < 1 ? `, ${(hours * 60).toFixed(0)} min` : `, ${hours.toFixed(1)} h`;
}
