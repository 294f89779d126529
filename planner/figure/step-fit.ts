/**
 * From height steps over the mask's windows to a curve with honest bands.
 *
 * Model: height(r) = focus * g(r) + conic * g(r)^2 + smooth(r), with free focus and conic terms (g is the focus shape; g^2 is
 * what a wrong conic constant adds) and a random smooth curve of unknown size and smoothness. Readings tell only differences,
 * so the height's nought is arbitrary. For every size and smoothness on a small grid this is ordinary kriging with a drift;
 * the answers are averaged with their restricted likelihoods as weights. So the band holds both kinds of doubt at once: noise
 * of the readings, and what may hide between and inside the windows. (Restricted likelihood: Patterson & Thompson, Biometrika
 * 58, 545, 1971; bands of smoothing priors cover on average over the curve: Wahba, J. R. Stat. Soc. B 45, 133, 1983; recalled.)
 */
import { backward, dot, factorise, forward, logDeterminant } from './cholesky';
import { type Conic, focusShapeMm2 } from './conic';
import { type StepPlace, StepTable, stepCovariances } from './smooth-curve';

/** One hypothesis about the smooth part, conditioned on the steps. */
export interface Hypothesis {
  /** Which of the lengths tried. */
  length: number;
  sizeNm: number;
  /** Of the whole, summing to 1. */
  weight: number;
  /** Cholesky factor of the steps' covariance, and of drift^T covariance^-1 drift. */
  factor: Float64Array;
  driftFactor: Float64Array;
  /** covariance^-1 drift, two columns. */
  solvedDrift: [Float64Array, Float64Array];
  drift: Float64Array;
  /** covariance^-1 (steps - drift), times the size squared: factors of the places' covariances. */
  pull: Float64Array;
}

export interface StepFit {
  places: readonly StepPlace[];
  table: StepTable;
  hypotheses: Hypothesis[];
  heightNm(rMm: number): number;
  slopeNmPerMm(rMm: number): number;
  /** Focus at the vertex of the conic that the zones sit on, nm per mm^2 of the focus shape. */
  focusNmPerMm2: number;
  /** 0..1: how likely the curve varies as fast as the mask can follow, or faster (weight of the shortest length tried). */
  sharpness: number;
}

const DRIFTS = 2;
/** Smoothness lengths tried, in windows; and how many sizes of the smooth part. */
const LENGTHS = [1.8, 2.6, 3.8, 5.5, 8];
const SIZES = 8;
/** Hypotheses less likely than this, relative to the best, are dropped. */
const NEGLIGIBLE = 1e-4;

/** Height of the two drifts at r, scaled so that both are about 1 at the rim. */
export function drifts(conic: Conic, rimMm: number, rMm: number): [number, number] {
  const g = focusShapeMm2(conic, rMm) / rimMm ** 2;
  return [g, g * g];
}

/** What does not depend on the values: made once per mask, used for every refinement. */
export class StepFitter {
  private readonly matrices: Float64Array[];
  private readonly table: StepTable;
  private readonly driftColumns: Float64Array[];

  constructor(
    private readonly places: readonly StepPlace[],
    private readonly sigmaNm: Float64Array,
    private readonly conic: Conic,
    private readonly rimMm: number,
  ) {
    const widthMm = places.reduce((sum, place) => sum + place.plusMm - place.minusMm, 0) / places.length;
    const spacingMm = Math.max(widthMm, (places[places.length - 1]!.plusMm - places[0]!.minusMm) / places.length);
    const lengthsMm = LENGTHS.map((windows) => windows * spacingMm);
    this.matrices = lengthsMm.map((lengthMm) => stepCovariances(places, lengthMm));
    this.table = new StepTable(places, lengthsMm);
    const steps = places.map(({ plusMm, minusMm }) => {
      const outer = drifts(conic, rimMm, plusMm);
      const inner = drifts(conic, rimMm, minusMm);
      return [outer[0] - inner[0], outer[1] - inner[1]] as const;
    });
    this.driftColumns = [Float64Array.from(steps, (s) => s[0]), Float64Array.from(steps, (s) => s[1])];
  }

  fit(stepsNm: Float64Array): StepFit {
    const sizes = this.sizesFor(stepsNm);
    const found: { hypothesis: Hypothesis; logLikelihood: number }[] = [];
    for (const [length, matrix] of this.matrices.entries()) {
      for (const sizeNm of sizes) {
        const one = this.condition(stepsNm, length, matrix, sizeNm);
        if (one) found.push(one);
      }
    }
    return this.average(found);
  }

  /** Sizes from hardly visible in the noise to well above what is seen, evenly in the logarithm. */
  private sizesFor(stepsNm: Float64Array): number[] {
    const size = stepsNm.length;
    const bare = this.condition(stepsNm, 0, new Float64Array(size * size), 0)!;
    let largest = 0;
    const noise = [...this.sigmaNm].sort((a, b) => a - b)[size >> 1]!;
    for (let i = 0; i < size; i++) {
      const residual = stepsNm[i]! - dot(bare.hypothesis.drift, [this.driftColumns[0]![i]!, this.driftColumns[1]![i]!]);
      largest = Math.max(largest, Math.abs(residual));
    }
    const low = 0.3 * noise;
    const high = Math.max(20 * noise, 4 * largest);
    return Array.from({ length: SIZES }, (_, i) => low * (high / low) ** (i / (SIZES - 1)));
  }

  private condition(
    stepsNm: Float64Array,
    length: number,
    matrix: Float64Array,
    sizeNm: number,
  ): { hypothesis: Hypothesis; logLikelihood: number } | null {
    const size = stepsNm.length;
    const variance = sizeNm * sizeNm;
    const factor = matrix.map((value) => variance * value);
    for (let i = 0; i < size; i++) factor[i * size + i]! += this.sigmaNm[i]! ** 2 + 1e-10 * variance;
    if (!factorise(factor, size)) return null;
    const solve = (values: Float64Array): Float64Array => {
      const out = Float64Array.from(values);
      forward(factor, size, out);
      backward(factor, size, out);
      return out;
    };
    const [first, second] = this.driftColumns as [Float64Array, Float64Array];
    const solvedDrift: [Float64Array, Float64Array] = [solve(first), solve(second)];
    const driftFactor = Float64Array.of(
      dot(first, solvedDrift[0]),
      0,
      dot(second, solvedDrift[0]),
      dot(second, solvedDrift[1]),
    );
    if (!factorise(driftFactor, DRIFTS)) return null;
    const drift = Float64Array.of(dot(solvedDrift[0], stepsNm), dot(solvedDrift[1], stepsNm));
    forward(driftFactor, DRIFTS, drift);
    backward(driftFactor, DRIFTS, drift);
    const left = stepsNm.map((value, i) => value - drift[0]! * first[i]! - drift[1]! * second[i]!);
    const pull = solve(left);
    const logLikelihood = -0.5 * (logDeterminant(factor, size) + logDeterminant(driftFactor, DRIFTS) + dot(left, pull));
    const hypothesis = {
      length,
      sizeNm,
      weight: 0,
      factor,
      driftFactor,
      solvedDrift,
      drift,
      pull: pull.map((value) => value * variance),
    };
    return { hypothesis, logLikelihood };
  }

  private average(found: { hypothesis: Hypothesis; logLikelihood: number }[]): StepFit {
    const best = Math.max(...found.map((one) => one.logLikelihood));
    const likely = found.filter((one) => one.logLikelihood > best + Math.log(NEGLIGIBLE));
    const whole = likely.reduce((sum, one) => sum + Math.exp(one.logLikelihood - best), 0);
    const hypotheses = likely.map(({ hypothesis, logLikelihood }) => ({
      ...hypothesis,
      weight: Math.exp(logLikelihood - best) / whole,
    }));
    const sharpness = hypotheses.reduce((sum, one) => sum + (one.length === 0 ? one.weight : 0), 0);
    return { places: this.places, table: this.table, hypotheses, sharpness, ...this.meanCurve(hypotheses) };
  }

  private meanCurve(hypotheses: Hypothesis[]): Pick<StepFit, 'heightNm' | 'slopeNmPerMm' | 'focusNmPerMm2'> {
    const { conic, rimMm, table } = this;
    const drift = [0, 0];
    const pulls = table.lengthsMm.map(() => new Float64Array(this.places.length));
    for (const { weight, length, drift: own, pull } of hypotheses) {
      drift[0]! += weight * own[0]!;
      drift[1]! += weight * own[1]!;
      for (let i = 0; i < pull.length; i++) pulls[length]![i]! += weight * pull[i]!;
    }
    const pulled = (covariances: readonly Float64Array[]): number => {
      return covariances.reduce((sum, row, length) => sum + dot(row, pulls[length]!), 0);
    };
    return {
      focusNmPerMm2: drift[0]! / rimMm ** 2,
      heightNm: (rMm) => dot(drifts(conic, rimMm, rMm), drift) + pulled(table.heightsAt(rMm)),
      slopeNmPerMm: (rMm) => dot(driftSlopes(conic, rimMm, rMm), drift) + pulled(table.slopesAt(rMm)),
    };
  }
}

/** d/dr of the drifts, per mm, by a central difference: g is so smooth that the step's error is below 1e-9 of it. */
function driftSlopes(conic: Conic, rimMm: number, rMm: number): [number, number] {
  const h = rimMm * 1e-4;
  const g = focusShapeMm2(conic, rMm) / rimMm ** 2;
  const slope = (focusShapeMm2(conic, rMm + h) - focusShapeMm2(conic, rMm - h)) / (2 * h * rimMm ** 2);
  return [slope, 2 * g * slope];
}
