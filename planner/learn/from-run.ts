/**
 * One run: what was taken off, over what the forecast says.
 *
 * Where both measurements are knife-edge readings through the same mask the comparison is made step by step over the windows,
 * before anything was smoothed: steps removed = ratio x forecast steps + focus, by weighted least squares. Otherwise the two
 * surfaces are subtracted.
 */
import { weightedFit } from '../figure/cholesky';
import { askedConic, focusShapeMm2 } from '../figure/conic';
import { splineThrough } from '../figure/spline';
import type { Figure } from '../figure/types';
import { causesOf } from './causes';
import type { MeasuredRun, RunEvidence } from './types';

/** No forecast of pressure and path is better than this, so no single run teaches more. */
const LEAST_SIGMA = 0.03;
const BAND = 1.96;
/** Of the depth in standard deviations, squared: below, nothing but focus is left to compare; ./too-shallow.ts judges the rest. */
const LEAST_STRENGTH = 0.01;

interface Row {
  forecast: number;
  focus: number;
  constant: number;
  removed: number;
  sigma: number;
}

/** Null where the run took off too little of any shape to be seen: it says nothing. */
export function evidenceOf(run: MeasuredRun): RunEvidence | null {
  const { before, after } = run;
  const curve = splineThrough(run.forecast.radiusMm, run.forecast.removalNm);
  const steps = stepRows(before, after, curve.value);
  const rows = steps ?? heightRows(before, after, curve.value);
  const weights = rows.map((row) => 1 / row.sigma ** 2);
  const column = (key: 'forecast' | 'focus' | 'constant'): Float64Array => Float64Array.from(rows, (row) => row[key]);
  const free = rows.some((row) => row.constant !== 0) ? [column('focus'), column('constant')] : [column('focus')];
  const removed = Float64Array.from(rows, (row) => row.removed);
  // What of the forecast focus (and piston) cannot explain: that alone tells the ratio.
  const own = residual(free, column('forecast'), weights);
  const strength = own.reduce((sum, value, i) => sum + weights[i]! * value * value, 0);
  if (!(strength > LEAST_STRENGTH)) return null;
  const ratio = own.reduce((sum, value, i) => sum + weights[i]! * value * removed[i]!, 0) / strength;
  const left = residual([...free, column('forecast')], removed, weights);
  const speaking = steps ? rows.length : Math.min(rows.length, INDEPENDENT);
  const freedom = Math.max(1, speaking - free.length - 1);
  const misfit = left.reduce((sum, value, i) => sum + weights[i]! * value * value, 0) / freedom;
  const ratioSigma = Math.hypot(Math.sqrt(Math.max(1, misfit) / strength), LEAST_SIGMA * ratio);
  const shape = shapeOf(before, after, curve.value, ratio);
  return {
    id: run.id,
    kPerPa: run.kPerPa * ratio,
    kSigmaPerPa: run.kPerPa * ratioSigma,
    ratio,
    ...shape,
    misfit,
    causes: causesOf(shape, run.forecast, before.glass, misfit),
    atMinutes: run.minutesBefore + run.minutes / 2,
    meanSpeedMmPerS: run.meanSpeedMmPerS,
  };
}

function residual(columns: Float64Array[], values: Float64Array, weights: ArrayLike<number>): Float64Array {
  const size = Math.hypot(...columns[0]!) || 1;
  const scaled = columns.map((column, k) => (k === 0 ? column.map((value) => value / size) : column));
  const fitted = weightedFit(scaled, values, weights);
  return values.map((value, i) => value - scaled.reduce((sum, column, k) => sum + fitted[k]! * column[i]!, 0));
}

/** Rows of steps over windows; null unless both were read through the same mask. */
function stepRows(before: Figure, after: Figure, forecastNm: (r: number) => number): Row[] | null {
  const [first, second] = [before.steps, after.steps];
  if (!first || !second || first.length !== second.length || first.length < 3) return null;
  const conic = askedConic(before.glass);
  const rows: Row[] = [];
  for (const [i, step] of first.entries()) {
    const later = second[i]!;
    if (Math.abs(step.plusMm - later.plusMm) > 1e-6 || Math.abs(step.minusMm - later.minusMm) > 1e-6) return null;
    rows.push({
      forecast: forecastNm(step.plusMm) - forecastNm(step.minusMm),
      focus: focusShapeMm2(conic, step.plusMm) - focusShapeMm2(conic, step.minusMm),
      constant: 0,
      removed: step.stepNm - later.stepNm,
      sigma: Math.hypot(step.sigmaNm, later.sigmaNm),
    });
  }
  return rows;
}

/** How many places of a smooth surface speak for themselves. */
const INDEPENDENT = 12;
/** A profile that states no uncertainty is taken to be this good, nm. */
const USUAL_NM = 1;

function heightRows(before: Figure, after: Figure, forecastNm: (r: number) => number): Row[] {
  const conic = askedConic(before.glass);
  const later = splineThrough(after.radiusMm, after.surfaceNm);
  const laterBand = splineThrough(after.radiusMm, after.bandNm);
  const from = Math.max(before.measuredMm.from, after.measuredMm.from);
  const to = Math.min(before.measuredMm.to, after.measuredMm.to);
  const places = before.radiusMm.map((r, i) => ({ r, i })).filter(({ r }) => r >= from && r <= to);
  const shared = Math.sqrt(Math.max(1, places.length / INDEPENDENT));
  return places.map(({ r, i }) => ({
    forecast: forecastNm(r),
    focus: focusShapeMm2(conic, r),
    constant: 1,
    removed: before.surfaceNm[i]! - later.value(r),
    // Neighbouring places are not independent: each is given less weight, so that all together count as INDEPENDENT.
    // A place counts by its area, as in every fit of a surface.
    sigma:
      (shared * Math.max(USUAL_NM, Math.hypot(before.bandNm[i]!, Math.abs(laterBand.value(r))) / BAND)) /
      Math.sqrt(Math.max(0.05, (2 * r) / (from + to))),
  }));
}

type Shape = Pick<RunEvidence, 'radiusMm' | 'shapeResidualNm' | 'shapeBandNm'>;

function shapeOf(before: Figure, after: Figure, forecastNm: (r: number) => number, ratio: number): Shape {
  const conic = askedConic(before.glass);
  const later = splineThrough(after.radiusMm, after.surfaceNm);
  const laterBand = splineThrough(after.radiusMm, after.bandNm);
  const shape = Float64Array.from(before.radiusMm, (r) => focusShapeMm2(conic, r));
  const scale = shape[shape.length - 1]!;
  const difference = Float64Array.from(before.radiusMm, (r, i) => {
    return before.surfaceNm[i]! - later.value(r) - ratio * forecastNm(r);
  });
  const columns = [shape.map((g) => g / scale), shape.map(() => 1)];
  const left = residual(columns, difference, before.area);
  return {
    radiusMm: Array.from(before.radiusMm),
    shapeResidualNm: Array.from(left),
    shapeBandNm: before.radiusMm.map((r, i) => Math.hypot(before.bandNm[i]!, Math.max(0, laterBand.value(r)))),
  };
}
