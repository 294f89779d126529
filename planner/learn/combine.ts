/**
 * Many runs: the coefficient for the next one, with its doubt.
 *
 * Runs scatter more than each by itself admits, so the scatter from run to run is estimated too (DerSimonian & Laird, Controlled
 * Clinical Trials 7, 177, 1986; recalled) and belongs to the doubt of the next run.
 */
import type { BreakIn, Learned, RunEvidence } from './types';

/** What is held for likely before any run, e.g. from another lap or the literature. */
export interface Prior {
  kPerPa: number;
  /** Relative standard deviation. */
  sigma: number;
}

/**
 * Pitch with cerium oxide on borosilicate: measured values lie from 1.6e-13 to 1.6e-12 per Pa; 8.06e-13 comes from 20 um/h per
 * (m/s) and psi in "Development and Results for Stressed-lap Polishing of Large Telescope Mirrors" (OFT 2014, OTh2B.4).
 */
export const BEFORE_LEARNING: Prior = { kPerPa: 8.06e-13, sigma: 0.8 };

/**
 * Scatter from run to run before there are enough runs to tell, and how many runs that assumption is worth. Laps that scatter by more
 * than assumed are trusted too far until their own runs have said so: with 6 % here, a lap of 10 % cut deeper than (1 + 2 sigma) in
 * 5 to 7 of 100 runs, where 2.5 are promised (simulated). With 10 % the promise holds up to there, and a lap of 6 % works 4 % less of
 * the depth after five runs.
 */
const USUAL_SCATTER = 0.1;
const SCATTER_WORTH = 4;
/** However runs turn out, the coefficient is not held for less than this share of what was likely before. */
const LEAST_SHARE = 0.05;
/** A pace that left the mean of the runs by more than this share shifts the film under the lap, and with it the coefficient. */
const PACE_CHANGE = 0.25;
const BREAK_IN_RUNS = 4;
const BREAK_IN_MINUTES = [20, 40, 80, 160, 320];
/** What the sum of squares must fall by before a break-in is believed: two unknowns more, at about the 95 % level. */
const BELIEVED = 6;

/** @param nextAtMinutes minutes of work of the lap at the middle of the run to come */
export function combine(evidence: readonly RunEvidence[], prior: Prior, nextAtMinutes: number): Learned {
  const breakIn = breakInOf(evidence);
  const points = evidence.map((run) => {
    const fresh = freshness(breakIn, run.atMinutes);
    return { k: run.kPerPa / fresh, variance: (run.kSigmaPerPa / fresh) ** 2 };
  });
  const scatter = scatterShare(points, prior.kPerPa) ** 2;
  let k = prior.kPerPa;
  let variance = (prior.sigma * prior.kPerPa) ** 2;
  // The scatter is a share of the coefficient, which is what is looked for: settled after a few rounds.
  for (let round = 0; round < 5; round++) {
    const start = { k: prior.kPerPa, variance: (prior.sigma * prior.kPerPa) ** 2 };
    const all = [start, ...points.map((one) => ({ k: one.k, variance: one.variance + scatter * k * k }))];
    const weight = all.reduce((sum, one) => sum + 1 / one.variance, 0);
    k = Math.max(all.reduce((sum, one) => sum + one.k / one.variance, 0) / weight, LEAST_SHARE * prior.kPerPa);
    variance = 1 / weight;
  }
  const next = points.length > 0 ? scatter : 0;
  return {
    kPerPa: k * freshness(breakIn, nextAtMinutes),
    sigma: Math.sqrt(variance / (k * k) + next),
    runs: evidence.length,
    breakIn,
    warnings: [...paceWarnings(evidence), ...addedGlass(evidence)],
  };
}

/**
 * Scatter from run to run beyond their own doubts, as a share of the coefficient; drawn towards the usual one while runs are few.
 * The mean of an inverse gamma distribution of the variance: few runs may scatter less by luck.
 */
function scatterShare(points: readonly { k: number; variance: number }[], scale: number): number {
  if (points.length < 2) return USUAL_SCATTER * Math.sqrt(SCATTER_WORTH / (SCATTER_WORTH - 2));
  const w = points.map((one) => 1 / one.variance);
  const sum = w.reduce((a, b) => a + b, 0);
  const mean = points.reduce((acc, one, i) => acc + w[i]! * one.k, 0) / sum;
  const q = points.reduce((acc, one, i) => acc + w[i]! * (one.k - mean) ** 2, 0);
  const c = sum - w.reduce((acc, value) => acc + value * value, 0) / sum;
  const freedom = points.length - 1;
  const between = Math.max(0, (q - freedom) / c) / Math.max(mean, LEAST_SHARE * scale) ** 2;
  return Math.sqrt((SCATTER_WORTH * USUAL_SCATTER ** 2 + freedom * between) / (SCATTER_WORTH + freedom - 2));
}

function freshness(breakIn: BreakIn | null, atMinutes: number): number {
  return breakIn ? 1 + breakIn.atFirst * Math.exp(-atMinutes / breakIn.minutes) : 1;
}

/** k(t) = k (1 + b exp(-t / T)), believed only where it explains the runs clearly better than one number. */
function breakInOf(runs: readonly RunEvidence[]): BreakIn | null {
  if (runs.length < BREAK_IN_RUNS) return null;
  const misfitOf = (fade: (run: RunEvidence) => number): { squares: number; atFirst: number } => {
    let [s, sf, sff, sk, sfk, skk] = [0, 0, 0, 0, 0, 0];
    for (const run of runs) {
      const w = 1 / run.kSigmaPerPa ** 2;
      const f = fade(run);
      s += w;
      sf += w * f;
      sff += w * f * f;
      sk += w * run.kPerPa;
      sfk += w * f * run.kPerPa;
      skk += w * run.kPerPa ** 2;
    }
    const det = s * sff - sf * sf;
    if (!(det > 1e-9 * s * sff)) return { squares: skk - (sk * sk) / s, atFirst: 0 };
    const base = (sff * sk - sf * sfk) / det;
    const extra = (s * sfk - sf * sk) / det;
    return { squares: skk - base * sk - extra * sfk, atFirst: extra / base };
  };
  const constant = misfitOf(() => 0).squares;
  let best: BreakIn | null = null;
  let least = constant - BELIEVED;
  for (const minutes of BREAK_IN_MINUTES) {
    const { squares, atFirst } = misfitOf((run) => Math.exp(-run.atMinutes / minutes));
    if (squares < least && atFirst > -0.9 && atFirst < 3) {
      least = squares;
      best = { atFirst, minutes };
    }
  }
  return best;
}

function paceWarnings(evidence: readonly RunEvidence[]): string[] {
  const last = evidence[evidence.length - 1];
  const earlier = evidence.slice(0, -1);
  if (!last || earlier.length === 0) return [];
  const mean = earlier.reduce((sum, run) => sum + run.meanSpeedMmPerS, 0) / earlier.length;
  const change = last.meanSpeedMmPerS / mean - 1;
  if (!(Math.abs(change) > PACE_CHANGE)) return [];
  const share = `${(100 * Math.abs(change)).toFixed(0)} %`;
  return [
    `The last run was walked ${share} ${change > 0 ? 'faster' : 'slower'} than those before: the film under the lap changes with the pace, and with it the coefficient. Learn anew at this pace, or go back to the old one.`,
  ];
}

/** A coefficient that is negative beyond its doubt: not noise, but a mistake. */
function addedGlass(evidence: readonly RunEvidence[]): string[] {
  const odd = evidence.filter((run) => run.kPerPa < -2 * run.kSigmaPerPa);
  if (odd.length === 0) return [];
  const which = odd.map((run) => run.id).join(', ');
  return [
    `Run ${which} seems to have added glass. Look whether the two measurements belong to it and whether the glass was at rest; leave it out otherwise.`,
  ];
}
