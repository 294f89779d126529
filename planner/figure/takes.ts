/** Several takes over the same mask: their mean, how well it is known, and what differs between the diameters. */
import { backward, dot, factorise, forward } from './cholesky';
import { windowRadiusMm } from './knife-edge';
import type { Astigmatism, KnifeEdgeMeasurement } from './types';

/** Assumed where neither the person nor repeated takes tell: mm at 70 % of the radius. Common practice, no source. */
export const USUAL_REPEATABILITY_MM = 0.03;
/** How many degrees of freedom that assumption is worth against the scatter of the takes. */
const ASSUMPTION_WORTH = 4;
/** Noise is stated at this share of the radius: the knife senses an angle, so along the axis it grows as 1/r. */
const STATED_AT = 0.7;

export interface MeanReadings {
  readingMm: Float64Array;
  /** Standard deviation of the means, mm. */
  sigmaMm: Float64Array;
  /** Of one reading at 70 % of the radius, mm, and where it comes from. */
  repeatabilityMm: number;
  repeatabilityFrom: 'stated' | 'takes' | 'assumed';
}

export function meanOfTakes(measurement: KnifeEdgeMeasurement): MeanReadings {
  const { windows, takes, glass, repeatabilityMm: stated } = measurement;
  const count = windows.length;
  const mean = Float64Array.from(
    windows,
    (_, i) => takes.reduce((sum, take) => sum + take.readingMm[i]!, 0) / takes.length,
  );
  const perRadius = Float64Array.from(windows, (window) => {
    return (STATED_AT * glass.clearApertureMm) / 2 / windowRadiusMm(window);
  });
  const shift = takeShifts(measurement, mean, perRadius);
  let squares = 0;
  takes.forEach((take, t) => {
    for (let i = 0; i < count; i++) squares += ((take.readingMm[i]! - mean[i]! - shift[t]!) / perRadius[i]!) ** 2;
  });
  const freedom = (takes.length - 1) * (count - 1);
  const assumed = ASSUMPTION_WORTH * USUAL_REPEATABILITY_MM ** 2;
  const repeatabilityMm = stated ?? Math.sqrt((assumed + squares) / (ASSUMPTION_WORTH + freedom));
  return {
    readingMm: mean,
    sigmaMm: perRadius.map((scale) => (repeatabilityMm * scale) / Math.sqrt(takes.length)),
    repeatabilityMm,
    repeatabilityFrom: stated !== null ? 'stated' : freedom > 0 ? 'takes' : 'assumed',
  };
}

/** How much each take reads longer than the mean of all, mm; by least squares over the windows, outer ones counting more. */
function takeShifts({ takes }: KnifeEdgeMeasurement, mean: Float64Array, perRadius: Float64Array): Float64Array {
  const weight = perRadius.map((scale) => 1 / scale ** 2);
  const whole = weight.reduce((sum, value) => sum + value, 0);
  return Float64Array.from(takes, ({ readingMm }) => {
    return mean.reduce((sum, value, i) => sum + weight[i]! * (readingMm[i]! - value), 0) / whole;
  });
}

/**
 * Astigmatism from readings along several diameters. A surface a r^2 cos 2(phi - phi0) shifts all readings along a diameter by
 * the same -2 a R^2 cos 2(phi - phi0) (moving source; twice that for a fixed one). Null where the diameters cannot tell: fewer
 * than three, or all within what two at right angles see.
 *
 * What the tester itself adds turns with the line on the tester, not with the glass's mark; where the takes tell both apart
 * they are solved for together.
 */
export function astigmatismOf(measurement: KnifeEdgeMeasurement, means: MeanReadings): Astigmatism | null {
  const { takes, glass, source } = measurement;
  const perRadius = means.sigmaMm.map((sigma) => (sigma * Math.sqrt(takes.length)) / means.repeatabilityMm);
  const shifts = takeShifts(measurement, means.readingMm, perRadius);
  const shiftSigma = means.repeatabilityMm / Math.sqrt(perRadius.reduce((sum, scale) => sum + 1 / scale ** 2, 0));
  const glassTerms = takes.map((take) => doubled(take.diameterDeg));
  const testerTerms = takes.map((take) => doubled(take.diameterDeg + take.markOnTesterDeg));
  const both = solve(
    glassTerms.map((terms, t) => [1, ...terms, ...testerTerms[t]!]),
    shifts,
  );
  const found =
    both ??
    solve(
      glassTerms.map((terms) => [1, ...terms]),
      shifts,
    );
  if (!found) return null;
  const [, cosine, sine] = Array.from(found.values) as [number, number, number];
  const perMm = ((glass.clearApertureMm / 2 / glass.radiusOfCurvatureMm) ** 2 * 1e6) / (source === 'moving' ? 1 : 2);
  const degrees = (Math.atan2(-sine, -cosine) * 90) / Math.PI;
  return {
    surfacePvNm: Math.hypot(cosine, sine) * perMm,
    sigmaNm: shiftSigma * perMm * Math.sqrt((found.spread[1]! + found.spread[2]!) / 2),
    highAlongDeg: (degrees + 180) % 180,
    testerApart:
      both !== null ||
      testerTerms.every((terms) => Math.hypot(terms[0] - testerTerms[0]![0], terms[1] - testerTerms[0]![1]) < 0.1),
  };
}

function doubled(deg: number): [number, number] {
  const angle = (deg * Math.PI) / 90;
  return [Math.cos(angle), Math.sin(angle)];
}

/** Least squares with the variances of the unknowns for unit noise; null where the rows do not determine them well. */
function solve(rows: number[][], values: Float64Array): { values: Float64Array; spread: number[] } | null {
  const size = rows[0]!.length;
  if (rows.length < size) return null;
  const matrix = new Float64Array(size * size);
  const right = new Float64Array(size);
  rows.forEach((row, t) => {
    for (let i = 0; i < size; i++) {
      for (let j = 0; j < size; j++) matrix[i * size + j]! += row[i]! * row[j]!;
      right[i]! += row[i]! * values[t]!;
    }
  });
  if (!factorise(matrix, size)) return null;
  const spread = Array.from({ length: size }, (_, i) => {
    const unit = new Float64Array(size);
    unit[i] = 1;
    forward(matrix, size, unit);
    return dot(unit, unit);
  });
  // Nearly dependent rows would turn noise into astigmatism: twenty times the noise of one shift is no knowledge.
  if (spread.some((value) => value > 400)) return null;
  forward(matrix, size, right);
  backward(matrix, size, right);
  return { values: right, spread };
}
