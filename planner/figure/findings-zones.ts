/** Findings about zones and the rim: what stands out of the surface, in sentences. */
import type { Judging } from './judge';
import { type ReferenceKind, referenceLine } from './reference';
import { turningPoints } from './turning-points';
import type { Finding } from './types';
import { LEAST_NM, median, nm, type Unworded } from './words';

/** The rim's own story is told of this outer part of the radius. */
const RIM_FROM = 0.88;
/** Where it begins the surface may be off the level by this share of what the rim is. */
const RIM_LEVEL = 0.35;

export function zonesAndRim(figure: Unworded, left: Float64Array, judging: Judging, out: Finding[]): void {
  const { rimMm } = judging;
  // A broad raised ring and a low middle with a low rim are the same surface; the telling with fewer zones is the better one.
  const [most, under] = (['most of the area', 'highest under'] as const).map((kind) => {
    const level = over(kind, left, judging);
    return { kind, level, found: standingOut(figure, level, judging) };
  }) as [Telling, Telling];
  const { kind, level, found } = under.found.length > 0 && under.found.length < most.found.length ? under : most;
  for (const { index, heightNm, radiusMm } of found) {
    const high = heightNm > 0;
    const middle = figure.glass.holeMm === 0 && radiusMm < 0.05 * rimMm;
    const place = middle ? 'The middle' : `The zone at ${radiusMm.toFixed(0)} mm`;
    const doubt = figure.bandNm[index]! > 0 ? ` (give or take ${nm(figure.bandNm[index]!)})` : '';
    const than = kind === 'highest under' ? 'over the lowest zones' : `${high ? 'over' : 'under'} most of the area`;
    const words = `${place} ${high ? 'stands' : 'lies'} ${nm(Math.abs(heightNm))} ${high ? 'high' : 'low'} ${than}${doubt}.`;
    out.push({ kind: high ? 'raised zone' : 'low zone', words, radiusMm, heightNm, over: kind });
  }
  rim(figure, level, judging, out);
}

interface Telling {
  kind: ReferenceKind;
  level: Float64Array;
  found: ReturnType<typeof standingOut>;
}

/** Tops above and bottoms below the level that the band does not explain, the largest first. */
function standingOut(figure: Unworded, level: Float64Array, { first, last, rimMm }: Judging) {
  const typical = median(figure.bandNm.slice(first, last + 1));
  const least = Math.max(LEAST_NM, typical);
  return turningPoints(level, first, last, least)
    .map((index) => ({ index, heightNm: level[index]!, radiusMm: figure.radiusMm[index]! }))
    .filter(({ index, heightNm }) => isExtreme(level, index, first, last) * heightNm > 0)
    .filter(({ index, heightNm }) => Math.abs(heightNm) > Math.max(least, 1.2 * figure.bandNm[index]!))
    .filter(({ index, radiusMm }) => index !== last || radiusMm < RIM_FROM * rimMm)
    .sort((a, b) => Math.abs(b.heightNm) - Math.abs(a.heightNm));
}

/** +1 for a top, -1 for a bottom, among its neighbours. */
function isExtreme(heightNm: Float64Array, index: number, first: number, last: number): 1 | -1 {
  const neighbour = heightNm[index === last ? index - 1 : index + 1]!;
  const other = heightNm[index === first ? index + 1 : index - 1]!;
  return heightNm[index]! >= Math.max(neighbour, other) ? 1 : -1;
}

/** Heights over a reference of the asked conic. */
function over(kind: ReferenceKind, heightNm: Float64Array, { shape, area, first, last }: Judging): Float64Array {
  const part = (values: Float64Array): Float64Array => values.subarray(first, last + 1);
  const { pistonNm, focus } = referenceLine(kind, part(shape), part(heightNm), part(area));
  return heightNm.map((h, i) => h - pistonNm - focus * shape[i]!);
}

/** The very rim: it leaves a level that holds right up to it. */
function rim(figure: Unworded, level: Float64Array, { last, rimMm }: Judging, out: Finding[]): void {
  const edgeMm = figure.radiusMm[last]!;
  if (edgeMm < RIM_FROM * rimMm) return;
  const from = figure.radiusMm.findIndex((r) => r >= RIM_FROM * edgeMm);
  const heightNm = level[last]!;
  const least = Math.max(2 * LEAST_NM, 1.2 * figure.bandNm[last]!);
  if (Math.abs(heightNm) < least || Math.abs(level[from]!) > RIM_LEVEL * Math.abs(heightNm)) return;
  const width = (edgeMm - figure.radiusMm[from]!).toFixed(0);
  const doubt = `(give or take ${nm(figure.bandNm[last]!)})`;
  const words =
    heightNm < 0
      ? `The edge is turned down: the last ${width} mm fall by ${nm(-heightNm)} ${doubt}.`
      : `The edge stands up: the last ${width} mm rise by ${nm(heightNm)} ${doubt}.`;
  out.push({ kind: 'edge', words, radiusMm: edgeMm, heightNm });
}
