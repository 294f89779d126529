/**
 * Whole turns: the same problem with whole numbers, a price on every stint and every minute, and a wall at the target. Solved as
 * a mixed-integer linear program over the stints that are left when the relaxed answer is cut down to few.
 */
import type { LinearModel, LinearSolver } from './milp';
import type { Problem } from './problem';
import { fewStints, minutesOf, removalOf } from './problem';
import type { Candidate, ChosenStint, Relaxed } from './types';

export interface Prices {
  /** nm of surface error that one stint more must save. */
  stintNm: number;
  /** nm of surface error that one minute more must save. */
  minuteNm: number;
}

export interface WholeTurns {
  chosen: ChosenStint[];
  minutes: number;
  /** False when time ran out: the answer holds all conditions, but a better one may exist. */
  proven: boolean;
}

/** How many times more surface counts that is left above what is enough. */
const ABOVE_COUNTS = 3;
/** Radii that the walls stand at; between them profiles of laps this wide cannot do much. */
const WALL_RADII = 48;
const MOST_CANDIDATES = 16;
const MOST_RELAXED = 60;
const MOST_TURNS = 5000;
/** A stint of one turn leaves its reversals in few places round the glass. */
const LEAST_TURNS = 2;
/** Bands below this count as equally well known, nm; and the worst known place is let off by this factor at most. */
const KNOWN_NM = 3;
const MOST_SLACK = 3;

/**
 * What a lap can do with the wall at the target and turns as real numbers: surface left from lowest to highest with the price of
 * the time, nm. Null where the solver finds nothing.
 */
export function priceOf(
  problem: Problem,
  relaxed: Relaxed,
  solver: LinearSolver,
  prices: Prices,
  seconds: number,
): number | null {
  const offered = [...relaxed.chosen].sort((a, b) => deepest(b) - deepest(a)).slice(0, MOST_RELAXED);
  const candidates = offered.map(({ candidate }) => candidate);
  return solver(modelOf(problem, candidates, prices, false), seconds)?.objective ?? null;
}

/** Null where not even doing nothing was found, which only a broken solver does. */
export function wholeTurns(
  problem: Problem,
  relaxed: Relaxed,
  solver: LinearSolver,
  prices: Prices,
  seconds: number,
): WholeTurns | null {
  const candidates = promising(problem, relaxed, solver, prices, seconds);
  if (candidates.length === 0) return { chosen: [], minutes: 0, proven: true };
  const answer = solver(modelOf(problem, candidates, prices, true), seconds);
  if (!answer) return null;
  const chosen = candidates
    .map((candidate, j) => ({ candidate, turns: Math.round(answer.values[`x${j}`] ?? 0) }))
    .filter(({ turns }) => turns > 0)
    .sort((a, b) => a.candidate.settingMm - b.candidate.settingMm);
  return { chosen, minutes: minutesOf(chosen), proven: answer.proven };
}

/**
 * The stints worth offering: those that the same problem with turns as real numbers uses, among those of the relaxed answer. The
 * deepest first, for a small zone in the middle has no volume but is seen all the same.
 */
function promising(
  problem: Problem,
  relaxed: Relaxed,
  solver: LinearSolver,
  prices: Prices,
  seconds: number,
): Candidate[] {
  const used = [...relaxed.chosen].sort((a, b) => deepest(b) - deepest(a)).map(({ candidate }) => candidate);
  const offered = used.slice(0, MOST_RELAXED);
  if (offered.length <= MOST_CANDIDATES) return offered;
  const answer = solver(modelOf(problem, offered, prices, false), seconds);
  if (!answer) return fewStints(problem, relaxed, MOST_CANDIDATES).chosen.map(({ candidate }) => candidate);
  return offered
    .map((candidate, j) => ({ candidate, turns: answer.values[`x${j}`] ?? 0 }))
    .filter(({ turns }) => turns > 1e-6)
    .sort((a, b) => deepest(b) - deepest(a))
    .slice(0, MOST_CANDIDATES)
    .map(({ candidate }) => candidate);
}

function deepest({ candidate, turns }: ChosenStint): number {
  return turns * candidate.profileNmPerTurn.reduce((most, depth) => Math.max(most, depth), 0);
}

function modelOf(problem: Problem, candidates: Candidate[], prices: Prices, whole: boolean): LinearModel {
  const { target, askedNm, focus, marginNm } = problem;
  const model: LinearModel = {
    // Half the height from lowest to highest is what `half` stands for.
    objective: { half: 2, above: ABOVE_COUNTS },
    rows: [{ terms: { above: 1, half: -2 }, least: -problem.enoughNm }],
    bounds: { half: {} },
    whole: whole ? candidates.map((_, j) => `x${j}`) : [],
    yesOrNo: whole ? candidates.map((_, j) => `y${j}`) : [],
  };
  candidates.forEach((candidate, j) => {
    model.objective[`x${j}`] = prices.minuteNm * candidate.minutesPerTurn;
    if (whole) model.objective[`y${j}`] = prices.stintNm;
    const most = mostTurns(problem, candidate);
    model.bounds[`x${j}`] = { least: 0, most };
    if (!whole) return;
    model.rows.push({ terms: { [`x${j}`]: 1, [`y${j}`]: -most }, most: 0 });
    model.rows.push({ terms: { [`x${j}`]: 1, [`y${j}`]: -Math.min(LEAST_TURNS, most) }, least: 0 });
  });
  const band = typicalBand(problem);
  for (const i of wallRadii(problem)) {
    const depth: Record<string, number> = {};
    candidates.forEach((candidate, j) => {
      depth[`x${j}`] = candidate.profileNmPerTurn[i]!;
    });
    model.rows.push({ terms: depth, most: askedNm[i]! + marginNm });
    // Where the surface is known badly it need not be met as well.
    const slack = Math.min(MOST_SLACK, Math.max(1, (KNOWN_NM + target.bandNm[i]!) / (KNOWN_NM + band)));
    const left = { ...depth, u: 1 - focus[i]!, v: focus[i]! };
    model.rows.push({ terms: { ...left, half: slack }, least: askedNm[i]! });
    model.rows.push({ terms: { ...left, half: -slack }, most: askedNm[i]! });
  }
  return model;
}

function mostTurns({ askedNm, marginNm, target }: Problem, candidate: Candidate): number {
  let most = MOST_TURNS;
  for (let i = target.first; i <= target.last; i++) {
    const depth = candidate.profileNmPerTurn[i]!;
    if (depth > 1e-9) most = Math.min(most, Math.ceil((askedNm[i]! + marginNm) / depth));
  }
  return Math.max(1, most);
}

function typicalBand({ target }: Problem): number {
  const bands = Array.from(target.bandNm.subarray(target.first, target.last + 1)).sort((a, b) => a - b);
  return bands[bands.length >> 1]!;
}

function wallRadii({ target }: Problem): number[] {
  const { first, last } = target;
  const count = Math.min(WALL_RADII, last - first + 1);
  return Array.from({ length: count }, (_, k) => Math.round(first + (k * (last - first)) / (count - 1)));
}

/** Rounds a relaxed answer down to whole turns and adds single turns while each brings the surface nearer: needs no solver. */
export function roundedTurns(problem: Problem, relaxed: Relaxed): WholeTurns {
  const size = problem.target.radiusMm.length;
  const chosen = relaxed.chosen.map(({ candidate, turns }) => ({ candidate, turns: Math.floor(turns + 1e-9) }));
  const left = (): number => {
    const depth = removalOf(chosen, size);
    let squares = 0;
    for (let i = problem.target.first; i <= problem.target.last; i++) {
      squares += problem.target.weight[i]! * (problem.askedNm[i]! - depth[i]!) ** 2;
    }
    return squares;
  };
  for (let round = 0; round < chosen.length; round++) {
    let best = -1;
    let least = left();
    chosen.forEach((stint, k) => {
      stint.turns += 1;
      const now = left();
      stint.turns -= 1;
      if (now < least) {
        least = now;
        best = k;
      }
    });
    if (best < 0) break;
    chosen[best]!.turns += 1;
  }
  const used = chosen.filter(({ turns }) => turns > 0);
  return { chosen: used, minutes: minutesOf(used), proven: false };
}
