/** What should be taken off, nm by radius: never negative, for glass can only be taken away. */
import { askedConic, focusShapeMm2 } from '../figure/conic';
import { referenceLine } from '../figure/reference';
import type { Figure } from '../figure/types';

export interface TargetChoice {
  /** Down to the lowest zone, or only down to where most of the area lies, leaving what is lower. */
  downTo: 'lowest zone' | 'most of the area';
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

const REFERENCE = { 'lowest zone': 'highest under', 'most of the area': 'most of the area' } as const;

/** Below the final reference by less than this is not called low. */
const LEVEL_NM = 0.5;

/**
 * The target against a curve of the asked conic: the highest one under the whole measured surface, or the one most of the area
 * lies on, raised by what may stay low. Outside the measured part nothing is asked for.
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
  const line = referenceLine(REFERENCE[choice.downTo], part(shape), part(surface), part(area));
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
  /** What to ask a suggestion for to go this way. */
  choice: Pick<TargetChoice, 'downTo' | 'allowedLowNm'>;
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
  const everything = targetOf(figure, { downTo: 'lowest zone', allowedLowNm: 0, edgeWeight: 1 });
  const enough = targetOf(figure, { downTo: 'lowest zone', allowedLowNm: enoughNm, edgeWeight: 1 });
  const local = targetOf(figure, { downTo: 'most of the area', allowedLowNm: 0, edgeWeight: 1 });
  const way = (target: Target, choice: WayDown['choice'], words: string): WayDown => ({
    words: `${words}: ${target.volumeMm3.toFixed(2)} mm3${time(hours(target.volumeMm3))}, ${target.lowNm.toFixed(0)} nm stay low.`,
    choice,
    volumeMm3: target.volumeMm3,
    hours: hours(target.volumeMm3),
    leftLowNm: target.lowNm,
  });
  return [
    way(everything, { downTo: 'lowest zone', allowedLowNm: 0 }, 'Lower everything to the lowest zone'),
    way(enough, { downTo: 'lowest zone', allowedLowNm: enoughNm }, 'Lower as far as is needed'),
    way(local, { downTo: 'most of the area', allowedLowNm: 0 }, 'Take off only what stands high'),
  ];
}

function time(hours: number | null): string {
  if (hours === null) return '';
  return hours < 1 ? `, ${(hours * 60).toFixed(0)} min` : `, ${hours.toFixed(1)} h`;
}
