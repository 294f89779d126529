/** Findings about zones and the rim: what stands out of the surface, in sentences. */
import { weightedFit } from './cholesky';
import type { Judging } from './judge';
import { type ReferenceKind, referenceLine } from './reference';
import { turningPoints } from './turning-points';
import type { Finding } from './types';
import { LEAST_NM, median, nm, type Unworded } from './words';

/** The rim's own story is told of this outer part of the radius. */
const RIM_FROM = 0.88;
const RIM_JUDGED_FROM = 0.6;

export function zones(figure: Unworded, left: Float64Array, judging: Judging, out: Finding[]): void {
  const { rimMm } = judging;
  // A broad raised ring and a low middle with a low rim are the same surface; the telling with fewer zones is the better one.
  const tellings = (['most of the area', 'highest under'] as const).map((kind) =>
    standingOut(figure, over(kind, left, judging), judging),
  );
  const found = tellings[1]!.length < tellings[0]!.length && tellings[1]!.length > 0 ? tellings[1]! : tellings[0]!;
  for (const { index, heightNm, radiusMm } of found) {
    const high = heightNm > 0;
    const middle = figure.glass.holeMm === 0 && radiusMm < 0.05 * rimMm;
    const place = middle ? 'The middle' : `The zone at ${radiusMm.toFixed(0)} mm`;
    const doubt = figure.bandNm[index]! > 0 ? ` (give or take ${nm(figure.bandNm[index]!)})` : '';
    const words = `${place} ${high ? 'stands' : 'lies'} ${nm(Math.abs(heightNm))} ${high ? 'high' : 'low'}${doubt}.`;
    out.push({ kind: high ? 'raised zone' : 'low zone', words, radiusMm, heightNm });
  }
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

/** The rim against where the zone inside it would lead. */
export function rim(figure: Unworded, left: Float64Array, judging: Judging, out: Finding[]): void {
  const { last, area, shape, rimMm } = judging;
  const edgeMm = figure.radiusMm[last]!;
  if (edgeMm < RIM_FROM * rimMm) return;
  const inside = area.map((share, i) => {
    const r = figure.radiusMm[i]!;
    return r >= RIM_JUDGED_FROM * edgeMm && r <= RIM_FROM * edgeMm ? share : 0;
  });
  const [piston, focus] = weightedFit([shape.map(() => 1), shape], left, inside) as unknown as [number, number];
  const departure = (i: number): number => left[i]! - piston - focus * shape[i]!;
  const heightNm = departure(last);
  let most = 0;
  for (let i = 0; i <= last; i++) if (inside[i]! > 0) most = Math.max(most, Math.abs(departure(i)));
  const doubt = 1.2 * figure.bandNm[last]!;
  if (Math.abs(heightNm) < Math.max(2 * LEAST_NM, doubt) || Math.abs(heightNm) < 3 * most) return;
  const widthMm = edgeMm * (1 - RIM_FROM);
  const words =
    heightNm < 0
      ? `The edge is turned down: the last ${widthMm.toFixed(0)} mm fall by ${nm(-heightNm)} (give or take ${nm(figure.bandNm[last]!)}).`
      : `The edge stands up: the last ${widthMm.toFixed(0)} mm rise by ${nm(heightNm)} (give or take ${nm(figure.bandNm[last]!)}).`;
  out.push({ kind: 'edge', words, radiusMm: edgeMm, heightNm });
}
