/** Against what a surface is judged: which curve of the asked conic is taken off before anything is called high or low. */
import { weightedFit } from './cholesky';

export type ReferenceKind = 'best fit' | 'highest under' | 'most of the area' | 'same vertex radius';

/** Height of the reference = pistonNm + focus * shape(r); `focus` in nm per unit of the focus shape. */
export interface ReferenceLine {
  pistonNm: number;
  focus: number;
}

/**
 * The reference of one kind. Piston and focus are free because neither is an error of figure: the asked conic may lie deeper in
 * the glass, and its radius may differ a little. All arrays belong to the judged radii only.
 *
 * - best fit: least squares over the area;
 * - highest under: the highest curve that nowhere stands above the surface: where glass can only be taken away, this is what
 *   can be reached with the least work. Highest in the mean over the area: the edge of the lower convex hull of (shape, height)
 *   that lies over the mean of the shape;
 * - most of the area: least sum of absolute departures, so that most of the surface lies on it and only what stands out, stands
 *   out (least squares leaves shallow dips beside every raised ring);
 * - same vertex radius: touches the vertex and has the surface's own radius there. Heights over a stated conic have the nominal
 *   radius, `vertexFocus` 0; readings leave the focus open, and it is that of the curve fitted to them.
 */
export function referenceLine(
  kind: ReferenceKind,
  shape: Float64Array,
  surfaceNm: Float64Array,
  area: Float64Array,
  vertexFocus = 0,
): ReferenceLine {
  if (kind === 'same vertex radius') return { pistonNm: surfaceNm[0] ?? 0, focus: vertexFocus };
  if (kind === 'best fit') {
    const [pistonNm, focus] = weightedFit([new Float64Array(shape.length).fill(1), shape], surfaceNm, area);
    return { pistonNm: pistonNm!, focus: focus! };
  }
  return kind === 'most of the area' ? prevailing(shape, surfaceNm, area) : highestUnder(shape, surfaceNm, area);
}

/** Rounds of reweighting, and the departure below which all count alike, nm. */
const ROUNDS = 30;
const ALIKE_NM = 0.5;

function prevailing(shape: Float64Array, surfaceNm: Float64Array, area: Float64Array): ReferenceLine {
  const scale = shape[shape.length - 1]!;
  const columns = [shape.map(() => 1), shape.map((g) => g / scale)];
  let weights = area;
  let line: ReferenceLine = { pistonNm: 0, focus: 0 };
  for (let round = 0; round < ROUNDS; round++) {
    const [piston, focus] = weightedFit(columns, surfaceNm, weights);
    line = { pistonNm: piston!, focus: focus! / scale };
    weights = area.map((share, i) => {
      return share / Math.max(ALIKE_NM, Math.abs(surfaceNm[i]! - line.pistonNm - line.focus * shape[i]!));
    });
  }
  return line;
}

function highestUnder(shape: Float64Array, surfaceNm: Float64Array, area: Float64Array): ReferenceLine {
  const hull: number[] = [];
  for (let i = 0; i < shape.length; i++) {
    while (hull.length > 1 && !turnsUp(shape, surfaceNm, hull[hull.length - 2]!, hull[hull.length - 1]!, i)) hull.pop();
    hull.push(i);
  }
  let whole = 0;
  let mean = 0;
  for (let i = 0; i < shape.length; i++) {
    whole += area[i]!;
    mean += area[i]! * shape[i]!;
  }
  mean /= whole;
  let k = 1;
  while (k < hull.length - 1 && shape[hull[k]!]! < mean) k++;
  const a = hull[k - 1]!;
  const b = hull[k]!;
  const focus = (surfaceNm[b]! - surfaceNm[a]!) / (shape[b]! - shape[a]!);
  return { pistonNm: surfaceNm[a]! - focus * shape[a]!, focus };
}

/** Whether going a, b, c the line bends upward at b. */
function turnsUp(x: Float64Array, y: Float64Array, a: number, b: number, c: number): boolean {
  return (y[b]! - y[a]!) * (x[c]! - x[b]!) < (y[c]! - y[b]!) * (x[b]! - x[a]!);
}
