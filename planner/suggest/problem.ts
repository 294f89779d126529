/**
 * The choice of stints as a problem in numbers: which turns bring the surface nearest to a true figure without cutting below it.
 *
 * Asked depth D = share x target. Left over may be anything that is no error of figure and lies above: u (1 - t) + v t with
 * u, v >= 0 and t the focus shape from 0 in the middle to 1 at the rim, a curve of the asked conic that stands a little high.
 */
import { askedConic, focusShapeMm2 } from '../figure/conic';
import type { Glass } from '../shelf/types';
import { fitNonNegative } from './least-squares';
import type { Target } from './target';
import type { Candidate, ChosenStint, Outlook, Relaxed } from './types';

export interface Problem {
  target: Target;
  candidates: readonly Candidate[];
  /** Depth asked for at each radius, nm. */
  askedNm: Float64Array;
  /** How far under the target the work may cut, nm. */
  marginNm: number;
  /** Surface from high to low that is enough, nm. */
  enoughNm: number;
  /** Focus shape from 0 to 1. */
  focus: Float64Array;
}

export function problemOf(
  target: Target,
  candidates: readonly Candidate[],
  glass: Glass,
  depthShare: number,
  { marginNm, enoughNm }: { marginNm: number; enoughNm: number },
): Problem {
  const conic = askedConic(glass);
  const shape = target.radiusMm.map((r) => focusShapeMm2(conic, r));
  const from = shape[target.first]!;
  const to = shape[target.last]!;
  return {
    target,
    candidates,
    askedNm: target.removalNm.map((depth) => depth * depthShare),
    marginNm,
    enoughNm,
    focus: shape.map((g) => (g - from) / (to - from)),
  };
}

/** Where the answer cuts too deep its radii count more, and it is solved anew; so often at most. */
const ROUNDS = 3;
const DEEPER_COUNTS = 3;
const KEPT_EACH_TIME = 0.8;

/** Turns as real numbers, by least squares over the area. With `among` only these candidates are used. */
export function relaxedTurns(problem: Problem, among: readonly Candidate[] = problem.candidates): Relaxed {
  const { target, askedNm, focus, marginNm } = problem;
  const weight = target.weight.map(Math.sqrt);
  const leftover = [focus.map((t) => 1 - t), focus];
  const columns = [...leftover, ...among.map((one) => one.profileNmPerTurn)];
  const solve = () => {
    const weighted = columns.map((column) => column.map((value, i) => value * weight[i]!));
    return fitNonNegative(
      weighted,
      askedNm.map((depth, i) => depth * weight[i]!),
    );
  };
  const chosenOf = (x: Float64Array): ChosenStint[] => {
    const stints = among.map((candidate, j) => ({ candidate, turns: x[j + leftover.length]! }));
    return stints.filter(({ turns }) => turns > 0);
  };
  let fit = solve();
  for (let round = 1; round < ROUNDS; round++) {
    const cut = removalOf(chosenOf(fit.x), target.radiusMm.length);
    let deep = false;
    for (let i = target.first; i <= target.last; i++) {
      if (cut[i]! <= askedNm[i]! + marginNm) continue;
      weight[i]! *= DEEPER_COUNTS;
      deep = true;
    }
    if (!deep) break;
    fit = solve();
  }
  const chosen = chosenOf(fit.x);
  const { rmsNm } = outlook(problem, chosen);
  return { chosen, minutes: minutesOf(chosen), residualRmsNm: rmsNm, certificate: fit.certificate };
}

/**
 * The relaxed answer with few stints: those that take off least are let go, a few at a time, and the others solved for anew.
 */
export function fewStints(problem: Problem, relaxed: Relaxed, most: number): Relaxed {
  const { area } = problem.target;
  const volume = ({ candidate, turns }: ChosenStint): number =>
    turns * candidate.profileNmPerTurn.reduce((sum, depth, i) => sum + depth * area[i]!, 0);
  let now = relaxed;
  while (now.chosen.length > most) {
    const sorted = [...now.chosen].sort((a, b) => volume(b) - volume(a));
    const kept = Math.max(most, Math.floor(sorted.length * KEPT_EACH_TIME));
    now = relaxedTurns(
      problem,
      sorted.slice(0, kept).map(({ candidate }) => candidate),
    );
  }
  return now;
}

export function minutesOf(chosen: readonly ChosenStint[]): number {
  return chosen.reduce((sum, { candidate, turns }) => sum + turns * candidate.minutesPerTurn, 0);
}

export function removalOf(chosen: readonly ChosenStint[], size: number): Float64Array {
  const depth = new Float64Array(size);
  for (const { candidate, turns } of chosen) {
    for (let i = 0; i < size; i++) depth[i]! += turns * candidate.profileNmPerTurn[i]!;
  }
  return depth;
}

/** What is expected after a choice of stints, against the best fit of the asked conic. */
export function outlook({ target, focus }: Problem, chosen: readonly ChosenStint[]): Outlook {
  const removalNm = removalOf(chosen, target.radiusMm.length);
  const after = target.aboveNm.map((h, i) => h - removalNm[i]!);
  const { pvNm, rmsNm } = flatness(after, target, focus);
  let overcutNm = 0;
  for (let i = target.first; i <= target.last; i++) {
    overcutNm = Math.max(overcutNm, removalNm[i]! - target.removalNm[i]!);
  }
  return { pvNm, rmsNm, overcutNm, removalNm, minutes: minutesOf(chosen) };
}

/** Highest minus lowest and rms against the least-squares piston and focus over the measured part. */
export function flatness(heightNm: Float64Array, target: Target, focus: Float64Array): { pvNm: number; rmsNm: number } {
  const { area, first, last } = target;
  let [s1, sf, sff, sh, sfh] = [0, 0, 0, 0, 0];
  for (let i = first; i <= last; i++) {
    s1 += area[i]!;
    sf += area[i]! * focus[i]!;
    sff += area[i]! * focus[i]! ** 2;
    sh += area[i]! * heightNm[i]!;
    sfh += area[i]! * focus[i]! * heightNm[i]!;
  }
  const slope = (s1 * sfh - sf * sh) / (s1 * sff - sf * sf);
  const piston = (sh - slope * sf) / s1;
  let [low, high, squares] = [Infinity, -Infinity, 0];
  for (let i = first; i <= last; i++) {
    const left = heightNm[i]! - piston - slope * focus[i]!;
    low = Math.min(low, left);
    high = Math.max(high, left);
    squares += area[i]! * left * left;
  }
  return { pvNm: high - low, rmsNm: Math.sqrt(squares / s1) };
}
