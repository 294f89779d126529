/**
 * Many runs: the coefficient for the next one, with its doubt.
 *
 * Runs scatter more than each by itself admits, so the scatter from run to run is estimated too (DerSimonian & Laird, Controlled
 * Clinical Trials 7, 177, 1986; recalled) and belongs to the doubt of the next run. All in the logarithm of the coefficient: it
 * is wrong by factors, not by amounts.
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

/** Scatter from run to run before there are enough runs to tell, and how many runs that assumption is worth. */
const USUAL_SCATTER = 0.05;
const SCATTER_WORTH = 3;
/** A pace that left the mean of the runs by more than this share shifts the film under the lap, and with it the coefficient. */
const PACE_CHANGE = 0.25;
const BREAK_IN_RUNS = 4;
const BREAK_IN_MINUTES = [20, 40, 80, 160, 320];
/** What the sum of squares must fall by before a break-in is believed: two unknowns more, at about the 95 % level. */
const BELIEVED = 6;

/** @param nextAtMinutes minutes of work of the lap at the middle of the run to come */
export function combine(evidence: readonly RunEvidence[], prior: Prior, nextAtMinutes: number): Learned {
  const usable = evidence.filter((run) => run.kPerPa > 0 && Number.isFinite(run.sigma) && run.sigma > 0);
  const breakIn = breakInOf(usable);
  const points = usable.map((run) => ({
    log: Math.log(run.kPerPa / freshness(breakIn, run.atMinutes)),
    variance: run.sigma ** 2,
  }));
  const scatter = scatterVariance(points);
  const start = { log: Math.log(prior.kPerPa), variance: prior.sigma ** 2 };
  const all = [start, ...points.map(({ log, variance }) => ({ log, variance: variance + scatter }))];
  const weight = all.reduce((sum, one) => sum + 1 / one.variance, 0);
  const log = all.reduce((sum, one) => sum + one.log / one.variance, 0) / weight;
  const next = points.length > 0 ? scatter : 0;
  return {
    kPerPa: Math.exp(log) * freshness(breakIn, nextAtMinutes),
    sigma: Math.sqrt(1 / weight + next),
    runs: usable.length,
    breakIn,
    warnings: [...paceWarnings(evidence), ...unusable(evidence, usable)],
  };
}

/** Variance between runs beyond their own, drawn towards the usual scatter while runs are few. */
function scatterVariance(points: readonly { log: number; variance: number }[]): number {
  const assumed = SCATTER_WORTH * USUAL_SCATTER ** 2;
  if (points.length < 2) return USUAL_SCATTER ** 2;
  const w = points.map((one) => 1 / one.variance);
  const sum = w.reduce((a, b) => a + b, 0);
  const mean = points.reduce((acc, one, i) => acc + w[i]! * one.log, 0) / sum;
  const q = points.reduce((acc, one, i) => acc + w[i]! * (one.log - mean) ** 2, 0);
  const c = sum - w.reduce((acc, value) => acc + value * value, 0) / sum;
  const freedom = points.length - 1;
  const between = Math.max(0, (q - freedom) / c);
  return (assumed + freedom * between) / (SCATTER_WORTH + freedom);
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
      const w = 1 / (run.sigma * run.kPerPa) ** 2;
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

function unusable(all: readonly RunEvidence[], used: readonly RunEvidence[]): string[] {
  const left = all.length - used.length;
  if (left === 0) return [];
  const which = left === 1 ? 'One run' : `${left} runs`;
  return [
    `${which} seemed to add glass and ${left === 1 ? 'was' : 'were'} left out: look whether the two measurements belong to it and whether the glass was at rest.`,
  ];
}
