/** From a surface on the grid to its figure: reference taken off, figures of merit. */
import { fitRows } from './band';
import { dot } from './cholesky';
import { type Conic, focusShapeMm2 } from './conic';
import { areaShares } from './grid';
import { peakToValleyNm, rmsNm, strehl, transverseRelative } from './quality';
import { type ReferenceKind, referenceLine } from './reference';
import type { Figure } from './types';

/** What is linear in the heights: how to get focus, piston and conic from a surface, on the measured part. */
export interface Judging {
  conic: Conic;
  rimMm: number;
  radiusMm: Float64Array;
  /** Area shares, summing to 1; 0 outside the measured part. */
  area: Float64Array;
  shape: Float64Array;
  first: number;
  last: number;
  /** Weights that give piston and focus of the best fit. */
  bestFit: [Float64Array, Float64Array];
  /** Weights that give the change of the conic constant that fits best (with piston and focus free). */
  conicChange: Float64Array;
}

/** `measuredMm` is narrowed to whole steps of the radii, so that nothing unmeasured is judged. */
export function judgingOf(
  radiusMm: Float64Array,
  conic: Conic,
  rimMm: number,
  measuredMm: { from: number; to: number },
): Judging {
  const slack = 1e-9 * rimMm;
  const first = radiusMm.findIndex((r) => r >= measuredMm.from - slack);
  const last = radiusMm.findLastIndex((r) => r <= measuredMm.to + slack);
  const area = new Float64Array(radiusMm.length);
  area.set(areaShares(radiusMm.subarray(first, last + 1)), first);
  const shape = radiusMm.map((r) => focusShapeMm2(conic, r));
  const one = shape.map(() => 1);
  const scaled = shape.map((g) => g / rimMm ** 2);
  const [piston, focus] = fitRows([one, scaled], area) as [Float64Array, Float64Array];
  const third = fitRows([one, scaled, scaled.map((g) => g * g)], area)[2] as Float64Array;
  // A conic constant larger by d raises the glass by d r^4 / (8 R^3).
  const perUnit = (rimMm ** 4 / (8 * conic.radiusMm ** 3)) * 1e6;
  return {
    conic,
    rimMm,
    radiusMm,
    area,
    shape,
    first,
    last,
    bestFit: [piston, focus.map((weight) => weight / rimMm ** 2)],
    conicChange: third.map((weight) => weight / perUnit),
  };
}

export type Judged = Pick<
  Figure,
  | 'radiusMm'
  | 'surfaceNm'
  | 'area'
  | 'reference'
  | 'pvNm'
  | 'rmsNm'
  | 'bestFit'
  | 'wavefrontPvWaves'
  | 'strehl'
  | 'transverseRelative'
> & { conicConstant: number; bestFitNm: Float64Array };

export function judge(
  judging: Judging,
  heightNm: Float64Array,
  slopeNmPerMm: Float64Array,
  kind: ReferenceKind,
  wavelengthNm: number,
  vertexFocus: number,
): Judged {
  const { shape, area, first, last, radiusMm, conic, rimMm } = judging;
  const part = (values: Float64Array): Float64Array => values.subarray(first, last + 1);
  const less = (pistonNm: number, focus: number): Float64Array =>
    heightNm.map((h, i) => h - pistonNm - focus * shape[i]!);
  const bestPiston = dot(judging.bestFit[0], heightNm);
  const bestFocus = dot(judging.bestFit[1], heightNm);
  const bestFitNm = less(bestPiston, bestFocus);
  const line = referenceLine(kind, part(shape), part(heightNm), part(area), vertexFocus);
  const surface = kind === 'best fit' ? bestFitNm : less(line.pistonNm, line.focus);
  const pvNm = peakToValleyNm(part(surface));
  const slopes = slopeNmPerMm.map((slope, i) => slope - bestFocus * shapeSlope(conic, radiusMm[i]!, rimMm));
  return {
    radiusMm: Array.from(radiusMm),
    surfaceNm: Array.from(surface),
    area: Array.from(area),
    reference: kind,
    pvNm,
    rmsNm: rmsNm(part(surface), part(area)),
    bestFit: { pvNm: peakToValleyNm(part(bestFitNm)), rmsNm: rmsNm(part(bestFitNm), part(area)) },
    wavefrontPvWaves: (2 * pvNm) / wavelengthNm,
    strehl: strehl(part(bestFitNm), part(area), wavelengthNm),
    transverseRelative: transverseRelative(slopes, 2 * rimMm, wavelengthNm),
    conicConstant: conic.conicConstant + dot(judging.conicChange, heightNm),
    bestFitNm,
  };
}

function shapeSlope(conic: Conic, rMm: number, rimMm: number): number {
  const h = 1e-4 * rimMm;
  return (focusShapeMm2(conic, rMm + h) - focusShapeMm2(conic, rMm - h)) / (2 * h);
}
