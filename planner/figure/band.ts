/** How well a fitted curve is known at every radius, after its best-fitting focus and piston are taken off. */
import { backward, dot, factorise, forward } from './cholesky';
import type { Conic } from './conic';
import { covariance, gridProducts } from './smooth-curve';
import { drifts, type Hypothesis, type StepFit } from './step-fit';

export interface Known {
  /** Standard deviation of the height at each radius of the grid, nm. */
  sigmaNm: Float64Array;
  /** Standard deviation of each linear measure asked for. */
  measureSigma: number[];
}

/**
 * `measures` are weights on the grid's heights. The first two must give piston and focus of the best fit (rows of the least
 * squares solution on `pistonAndFocus`); the height's deviation is given with these taken off.
 */
export function knownOf(
  fit: StepFit,
  conic: Conic,
  rimMm: number,
  radiusMm: Float64Array,
  pistonAndFocus: [Float64Array, Float64Array],
  measures: Float64Array[],
): Known {
  const size = radiusMm.length;
  const priors = new Map<number, Prior>();
  const spread = radiusMm.map(() => 0);
  const measureSpread = measures.map(() => 0);
  const means: { weight: number; heights: Float64Array; measures: number[] }[] = [];
  for (const hypothesis of fit.hypotheses) {
    const { length, weight } = hypothesis;
    const prior = priors.get(length) ?? priorOf(fit, length, conic, rimMm, radiusMm, measures);
    priors.set(length, prior);
    const state = onGrid(fit.places.length, hypothesis, prior);
    const timesMeasures = measures.map((measure, k) => state.covarianceTimes(measure, prior.products[k]!));
    const cross = measures.map((left) => timesMeasures.map((right) => dot(left, right)));
    for (let i = 0; i < size; i++) {
      const b = [pistonAndFocus[0][i]!, pistonAndFocus[1][i]!];
      let variance = state.variance(i);
      for (let k = 0; k < 2; k++) {
        variance -= 2 * b[k]! * timesMeasures[k]![i]!;
        for (let l = 0; l < 2; l++) variance += b[k]! * b[l]! * cross[k]![l]!;
      }
      spread[i]! += weight * Math.max(0, variance);
    }
    measures.forEach((_, k) => {
      measureSpread[k]! += weight * Math.max(0, cross[k]![k]!);
    });
    const values = measures.map((measure) => dot(measure, state.mean));
    const heights = state.mean.map(
      (value, i) => value - values[0]! * pistonAndFocus[0][i]! - values[1]! * pistonAndFocus[1][i]!,
    );
    means.push({ weight, heights, measures: values });
  }
  addDisagreement(means, spread, measureSpread);
  return { sigmaNm: spread.map(Math.sqrt), measureSigma: measureSpread.map(Math.sqrt) };
}

/** The hypotheses' means differ: that is doubt too. */
function addDisagreement(
  means: { weight: number; heights: Float64Array; measures: number[] }[],
  spread: Float64Array,
  measureSpread: number[],
): void {
  for (let i = 0; i < spread.length; i++) {
    const mean = means.reduce((sum, one) => sum + one.weight * one.heights[i]!, 0);
    spread[i]! += means.reduce((sum, one) => sum + one.weight * (one.heights[i]! - mean) ** 2, 0);
  }
  for (let k = 0; k < measureSpread.length; k++) {
    const mean = means.reduce((sum, one) => sum + one.weight * one.measures[k]!, 0);
    measureSpread[k]! += means.reduce((sum, one) => sum + one.weight * (one.measures[k]! - mean) ** 2, 0);
  }
}

/** What hypotheses of one length share: everything that needs the covariance function. */
interface Prior {
  /** Covariance of every radius with every step: one row a radius. */
  withSteps: Float64Array;
  variance: Float64Array;
  products: Float64Array[];
  drifts: [number, number][];
}

function priorOf(
  { places, table }: StepFit,
  length: number,
  conic: Conic,
  rimMm: number,
  radiusMm: Float64Array,
  measures: Float64Array[],
): Prior {
  const withSteps = new Float64Array(radiusMm.length * places.length);
  radiusMm.forEach((r, i) => {
    withSteps.set(table.heightsAt(r)[length]!, i * places.length);
  });
  const lengthMm = table.lengthsMm[length]!;
  return {
    withSteps,
    variance: radiusMm.map((r) => covariance(r, r, lengthMm)),
    products: gridProducts(radiusMm, lengthMm, measures),
    drifts: Array.from(radiusMm, (r) => drifts(conic, rimMm, r)),
  };
}

/** Posterior of one hypothesis on the grid: covariance = size^2 K - Q^T Q + U^T U (kriging with a drift). */
function onGrid(count: number, hypothesis: Hypothesis, prior: Prior) {
  const { sizeNm, factor, driftFactor, solvedDrift, drift, pull } = hypothesis;
  const size = prior.variance.length;
  const explained = new Float64Array(size * count); // Q^T
  const driftDoubt = new Float64Array(size * 2); // U^T
  const mean = new Float64Array(size);
  const own = new Float64Array(count);
  const small = new Float64Array(2);
  for (let i = 0; i < size; i++) {
    const at = prior.drifts[i]!;
    let height = at[0] * drift[0]! + at[1] * drift[1]!;
    small[0] = at[0];
    small[1] = at[1];
    for (let j = 0; j < count; j++) {
      const raw = prior.withSteps[i * count + j]!;
      height += raw * pull[j]!;
      own[j] = sizeNm * sizeNm * raw;
      small[0]! -= own[j]! * solvedDrift[0][j]!;
      small[1]! -= own[j]! * solvedDrift[1][j]!;
    }
    mean[i] = height;
    forward(driftFactor, 2, small);
    driftDoubt.set(small, 2 * i);
    forward(factor, count, own);
    explained.set(own, i * count);
  }
  return {
    mean,
    variance(i: number): number {
      let sum = sizeNm * sizeNm * prior.variance[i]! + driftDoubt[2 * i]! ** 2 + driftDoubt[2 * i + 1]! ** 2;
      for (let j = 0; j < count; j++) sum -= explained[i * count + j]! ** 2;
      return sum;
    },
    covarianceTimes(vector: Float64Array, priorProduct: Float64Array): Float64Array {
      const q = new Float64Array(count);
      const u = new Float64Array(2);
      for (let i = 0; i < size; i++) {
        const v = vector[i]!;
        if (v === 0) continue;
        for (let j = 0; j < count; j++) q[j]! += v * explained[i * count + j]!;
        u[0]! += v * driftDoubt[2 * i]!;
        u[1]! += v * driftDoubt[2 * i + 1]!;
      }
      const out = new Float64Array(size);
      for (let i = 0; i < size; i++) {
        let sum = sizeNm * sizeNm * priorProduct[i]! + driftDoubt[2 * i]! * u[0]! + driftDoubt[2 * i + 1]! * u[1]!;
        for (let j = 0; j < count; j++) sum -= explained[i * count + j]! * q[j]!;
        out[i] = sum;
      }
      return out;
    },
  };
}

/** Rows of weights that give the least-squares coefficients on some columns; empty where the columns are degenerate. */
export function fitRows(columns: Float64Array[], area: Float64Array): Float64Array[] {
  const size = columns.length;
  const matrix = new Float64Array(size * size);
  const weighted = columns.map((column) => column.map((value, i) => value * area[i]!));
  for (let i = 0; i < size; i++) for (let j = 0; j < size; j++) matrix[i * size + j] = dot(weighted[i]!, columns[j]!);
  if (!factorise(matrix, size)) return [];
  const rows = columns.map((column) => new Float64Array(column.length));
  const one = new Float64Array(size);
  for (let at = 0; at < weighted[0]!.length; at++) {
    for (let i = 0; i < size; i++) one[i] = weighted[i]![at]!;
    forward(matrix, size, one);
    backward(matrix, size, one);
    rows.forEach((row, i) => {
      row[at] = one[i]!;
    });
  }
  return rows;
}
