/** The suggestion: which lap, which stints, how many whole turns, what to expect and what limits it. */
import type { Figure } from '../figure/types';
import type { Glass, Lap, Shelf } from '../shelf/types';
import type { Stand } from '../stand/types';
import { CandidateCache } from './candidates';
import { limits } from './limits';
import type { LinearSolver } from './milp';
import { outlook, type Problem, problemOf, relaxedTurns } from './problem';
import { type Target, type TargetChoice, targetOf, type WayDown, waysDown } from './target';
import { testRun } from './test-run';
import type { Candidate, ChosenStint, Outlook, Relaxed } from './types';
import { type Prices, priceOf, roundedTurns, wholeTurns } from './whole-turns';
import { programText } from './write-program';

/** What is known of a lap with its slurry on this glass. */
export interface LapKnowledge {
  kPerPa: number;
  /** Relative standard deviation of the coefficient for the next run. */
  sigma: number;
  /** Measured runs behind it. */
  runs: number;
}

export interface SuggestRequest {
  figure: Figure;
  laps: readonly Lap[];
  slurryId: string | null;
  /** What the programs call by name; a glass that does not lie on it is written out. */
  shelf: Shelf;
  /** Limits of travel and pace; null: none are known. */
  stand: Stand | null;
  turntableRpm: number;
  strokesPerMinute: number;
  knowledgeOf(lap: Lap): LapKnowledge;
  /** Surface from high to low that is enough, nm; the wavefront has twice as much. */
  enoughNm: number;
  /** How far under the target the work may cut, nm. */
  marginNm: number;
  /** Down to the lowest zone, or only to where most of the area lies. */
  downTo: TargetChoice['downTo'];
  /** What may stay low, nm. */
  allowedLowNm: number;
  edgeWeight: number;
  /** For each whole-turn answer, seconds at most. */
  seconds: number;
  /** Whether the gentlest and the quickest way are worked out too; each takes as long as the suggestion. */
  alternatives: boolean;
}

export interface Plan {
  name: 'suggested' | 'gentlest' | 'quickest' | 'test run';
  words: string;
  lap: Lap;
  stints: ChosenStint[];
  /** Of the needed depth, what is worked. */
  depthShare: number;
  predicted: Outlook;
  /** The answer with turns as real numbers behind it; null for a test run. */
  relaxed: Relaxed | null;
  programText: string;
}

export interface Suggestion {
  kind: 'figuring' | 'test run' | 'nothing to do' | 'no lap fits';
  words: string[];
  before: { pvNm: number; rmsNm: number };
  /** Null where there is nothing to do or nothing to do it with. */
  plan: Plan | null;
  alternatives: Plan[];
  limitedBy: string;
  waysDown: WayDown[];
}

/** Above this relative uncertainty of the coefficient only a shallow test run is suggested. */
export const TEST_RUN_SIGMA = 0.5;
/** A run is worth its measurement from this gain on, nm from high to low. */
const HELPS_NM = 1;

const PRICES: Record<'suggested' | 'gentlest' | 'quickest', Prices & { share: number; margin: number }> = {
  suggested: { stintNm: 0.7, minuteNm: 0.015, share: 1, margin: 1 },
  // Takes two thirds of the depth and cuts nowhere below the target.
  gentlest: { stintNm: 0.5, minuteNm: 0, share: 2 / 3, margin: 0 },
  quickest: { stintNm: 3, minuteNm: 0.2, share: 1, margin: 1 },
};

interface Fit {
  lap: Lap;
  knowledge: LapKnowledge;
  candidates: Candidate[];
  relaxed: Relaxed;
  /** Lower is better: surface left, with a price on time. */
  score: number;
}

/** Share of the depth that keeps the work above the target for all but one coefficient in forty: 1 / (1 + 2 sigma). */
export function depthShareOf(sigma: number): number {
  return 1 / (1 + 2 * sigma);
}

/** @throws RangeError for an allowance that would ask for glass to be added */
export function suggest(request: SuggestRequest, solver: LinearSolver, cache = new CandidateCache()): Suggestion {
  const { figure, enoughNm } = request;
  const target = targetOf(figure, request);
  // Against its best fit, whatever reference it was reduced to.
  const { pvNm, rmsNm } = outlook(problemOf(target, [], figure.glass, 1, request), []);
  const before = { pvNm, rmsNm };
  const nothing = { before, plan: null, alternatives: [], waysDown: [] };
  if (before.pvNm <= enoughNm) {
    const words = [
      `The surface is within ${before.pvNm.toFixed(0)} nm from high to low; ${enoughNm.toFixed(0)} nm are enough.`,
    ];
    return { ...nothing, kind: 'nothing to do', words, limitedBy: 'nothing: it is good enough' };
  }
  const fits = lapsByFit(request, target, cache, solver);
  const best = fits[0];
  if (!best) {
    const words = [noLapWords(request)];
    return { ...nothing, kind: 'no lap fits', words, limitedBy: 'the shelf: no lap can stand on this glass' };
  }
  if (best.knowledge.sigma > TEST_RUN_SIGMA) {
    const plan = testRun(request, best.lap, best.knowledge, best.candidates, target);
    const known = `How fast ${best.lap.title} cuts is not known yet (only to within ${percent(best.knowledge.sigma)}).`;
    const advice = 'A shallow test run comes first; measure after it, and the coefficient is learned.';
    const words = [known, advice, plan.words];
    return { ...nothing, kind: 'test run', words, plan, limitedBy: 'the coefficient: it must be learned first' };
  }
  const { fit, plan } = firstThatHelps(request, fits, target, before.pvNm, solver);
  const others = request.alternatives ? (['gentlest', 'quickest'] as const) : [];
  const alternatives = others.map((name) => planOf(request, fit, target, name, solver));
  return {
    kind: 'figuring',
    words: [plan.words],
    before,
    plan,
    alternatives,
    limitedBy: limits(request, fit.lap, fit.knowledge, target, before.pvNm, plan, fullDepth(request, fit, target)),
    waysDown: waysDown(figure, enoughNm, volumePerHour(plan, target)),
  };
}

/** Laps that fit, best first. */
function lapsByFit(request: SuggestRequest, target: Target, cache: CandidateCache, solver: LinearSolver): Fit[] {
  const { figure, stand, turntableRpm, strokesPerMinute } = request;
  const fits: Fit[] = [];
  for (const lap of request.laps) {
    const knowledge = request.knowledgeOf(lap);
    const settings = { glass: figure.glass, lap, kPerPa: knowledge.kPerPa, turntableRpm, strokesPerMinute, stand };
    const candidates = cache.get({ ...settings, radiusMm: target.radiusMm });
    if (candidates.length === 0) continue;
    const problem = problemOf(target, candidates, figure.glass, 1, request);
    const relaxed = relaxedTurns(problem);
    const score = priceOf(problem, relaxed, solver, PRICES.suggested, request.seconds);
    if (score === null) continue;
    fits.push({ lap, knowledge, candidates, relaxed, score });
  }
  return fits.sort((a, b) => a.score - b.score);
}

/** The best lap's plan; where in whole turns it brings nothing, the next one's. */
function firstThatHelps(
  request: SuggestRequest,
  fits: readonly Fit[],
  target: Target,
  beforePvNm: number,
  solver: LinearSolver,
): { fit: Fit; plan: Plan } {
  const tried = [];
  for (const fit of fits) {
    const plan = planOf(request, fit, target, 'suggested', solver);
    if (plan.predicted.pvNm < beforePvNm - HELPS_NM) return { fit, plan };
    tried.push({ fit, plan });
  }
  return tried[0]!;
}

/** What this lap could reach if its coefficient were known and turns needed not be whole. */
function fullDepth(request: SuggestRequest, fit: Fit, target: Target): Outlook {
  return outlook(problemOf(target, fit.candidates, request.figure.glass, 1, request), fit.relaxed.chosen);
}

function planOf(
  request: SuggestRequest,
  { lap, knowledge, candidates }: Fit,
  target: Target,
  name: 'suggested' | 'gentlest' | 'quickest',
  solver: LinearSolver,
): Plan {
  const { figure, marginNm, enoughNm, seconds } = request;
  const prices = PRICES[name];
  const depthShare = depthShareOf(knowledge.sigma) * prices.share;
  const problem = problemOf(target, candidates, figure.glass, depthShare, {
    enoughNm,
    marginNm: marginNm * prices.margin,
  });
  const relaxed = relaxedTurns(problem);
  const whole = wholeTurns(problem, relaxed, solver, prices, seconds) ?? roundedTurns(problem, relaxed);
  const predicted = outlook(problem, whole.chosen);
  const words = planWords(name, lap, whole.chosen, depthShare, predicted);
  const head = {
    title: `Figuring with ${lap.title}`,
    remarks: [
      `${figure.glass.title}: ${figure.findings[0]?.words ?? ''}`,
      words,
      `Worked from a coefficient of ${knowledge.kPerPa.toExponential(2)} /Pa, known to ${percent(knowledge.sigma)}.`,
    ],
    glass: figure.glass,
    lap,
    slurryId: request.slurryId,
    turntableRpm: request.turntableRpm,
    strokesPerMinute: request.strokesPerMinute,
  };
  const stints = whole.chosen.map((stint) => ({ ...stint, remark: remarkOf(stint, problem) }));
  return {
    name,
    words,
    lap,
    stints: whole.chosen,
    depthShare,
    predicted,
    relaxed,
    programText: programText(head, stints, request.shelf),
  };
}

function planWords(
  name: string,
  lap: Lap,
  chosen: readonly ChosenStint[],
  share: number,
  { pvNm, minutes }: Outlook,
): string {
  const turns = chosen.reduce((sum, stint) => sum + stint.turns, 0);
  const kind = { suggested: 'Suggested', gentlest: 'Gentlest', quickest: 'Quickest' }[name];
  if (turns === 0) return `${kind}: nothing; every stint of ${lap.title} would do more harm than good.`;
  const depth = share > 0.995 ? 'all of what stands high' : `${percent(share)} of what stands high`;
  const stints = `${chosen.length} ${chosen.length === 1 ? 'stint' : 'stints'}`;
  return (
    `${kind}: ${turns} turns in ${stints} with ${lap.title}, ${minutes.toFixed(0)} minutes: to take off ${depth}. ` +
    `About ${pvNm.toFixed(0)} nm from high to low should be left.`
  );
}

function remarkOf({ candidate, turns }: ChosenStint, { target }: Problem): string {
  const { profileNmPerTurn } = candidate;
  const peak = profileNmPerTurn.reduce((best, depth, i) => (depth > profileNmPerTurn[best]! ? i : best), 0);
  return `takes ${(turns * profileNmPerTurn[peak]!).toFixed(0)} nm off at ${target.radiusMm[peak]!.toFixed(0)} mm`;
}

function volumePerHour({ stints, predicted }: Plan, { radiusMm, area, first, last }: Target): number | null {
  if (stints.length === 0 || predicted.minutes === 0) return null;
  const apertureMm2 = Math.PI * (radiusMm[last]! ** 2 - radiusMm[first]! ** 2);
  const mean = predicted.removalNm.reduce((sum, depth, i) => sum + depth * area[i]!, 0);
  return (apertureMm2 * mean * 1e-6 * 60) / predicted.minutes;
}

function noLapWords({ laps, figure }: SuggestRequest): string {
  if (laps.length === 0) return 'There is no lap on the shelf. Put one there first.';
  const smallest = Math.min(...laps.map((lap) => lap.outline.diameterMm));
  return (
    `No lap on the shelf fits: none can stand on a glass of ${glassSize(figure.glass)} within the travel of the stand. ` +
    `The smallest is ${smallest} mm; a quarter of the glass or less is usual.`
  );
}

function glassSize({ diameterMm, holeMm }: Glass): string {
  return holeMm > 0 ? `${diameterMm} mm with a hole of ${holeMm} mm` : `${diameterMm} mm`;
}

export function percent(share: number): string {
  return `${(100 * share).toFixed(0)} %`;
}
