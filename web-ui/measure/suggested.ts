/** A suggestion as the page shows it: first what can be said at once, then whole turns, each plan with its curve. */
import type { AnswerAtOnce } from '../../planner/suggest/at-once';
import { answerAtOnce } from '../../planner/suggest/at-once';
import { CandidateCache } from '../../planner/suggest/candidates';
import type { LinearSolver } from '../../planner/suggest/milp';
import { type Plan, type Suggestion, suggest } from '../../planner/suggest/suggest';
import { type Target, targetOf, type WayDown } from '../../planner/suggest/target';
import type { ChosenStint } from '../../planner/suggest/types';
import type { SuggestAsk } from './reckon';

/** Surface over the curve that is aimed at, before and after. */
export interface BeforeAfter {
  radiusMm: Float64Array;
  beforeNm: Float64Array;
  afterNm: Float64Array;
  first: number;
  last: number;
}

export interface ShownPlan {
  /** More than one where they come to the same program. */
  names: [Plan['name'], ...Plan['name'][]];
  words: string;
  lapTitle: string;
  turns: number;
  minutes: number;
  pvNm: number;
  rmsNm: number;
  overcutNm: number;
  stints: { turns: number; shape: 'straight' | 'ellipse'; settingMm: number; lengthMm: number; nudgeMm: number }[];
  curve: BeforeAfter;
  programText: string;
}

export type Suggested =
  | { stage: 'at once'; words: string; pvNm: number; minutes: number; curve: BeforeAfter }
  | {
      stage: 'whole';
      kind: Suggestion['kind'];
      words: string[];
      before: Suggestion['before'];
      limitedBy: string;
      /** The suggested one first; empty where there is nothing to work. */
      plans: ShownPlan[];
      /** Local figuring against lowering everything else, with the hours they take at this plan's pace. */
      waysDown: WayDown[];
    };

const SECONDS = 10;
/** Candidates are most of the work; the worker lives as long as the page, and the next ask is quicker. */
const cache = new CandidateCache();
/** Over a megabyte with its WebAssembly: fetched when somebody asks, not before. */
let solver: Promise<LinearSolver> | null = null;

export type SuggestInSteps = (
  ask: SuggestAsk,
  answer: (suggested: Suggested) => void,
  solving: () => Promise<LinearSolver>,
) => Promise<void>;

export const suggestInSteps: SuggestInSteps = async ({ request, known }, answer, solving) => {
  const full = {
    ...request,
    knowledgeOf: ({ id }: { id: string }) => known[id]!,
    edgeWeight: 1,
    seconds: SECONDS,
    alternatives: true,
  };
  const target = targetOf(request.figure, full);
  const first = answerAtOnce(full, cache);
  if (first !== null) answer(atOnce(first, target));
  solver ??= solving();
  const suggestion = suggest(full, await solver, cache);
  const { kind, words, before, limitedBy, plan, alternatives, waysDown } = suggestion;
  const plans = together((plan === null ? [] : [plan, ...alternatives]).map((each) => shownPlan(each, target)));
  answer({ stage: 'whole', kind, words, before, limitedBy, plans, waysDown });
};

function atOnce({ words, predicted }: AnswerAtOnce, target: Target): Suggested {
  const { pvNm, minutes, removalNm } = predicted;
  return { stage: 'at once', words, pvNm, minutes, curve: beforeAfter(target, removalNm) };
}

function beforeAfter({ radiusMm, aboveNm, first, last }: Target, removalNm: Float64Array): BeforeAfter {
  return { radiusMm, beforeNm: aboveNm, afterNm: aboveNm.map((h, i) => h - removalNm[i]!), first, last };
}

/** Plans with the same stints are one, with all their names. */
export function together(plans: readonly ShownPlan[]): ShownPlan[] {
  const found = new Map<string, ShownPlan>();
  for (const plan of plans) {
    const key = JSON.stringify([plan.lapTitle, plan.stints]);
    const same = found.get(key);
    found.set(key, same ? { ...same, names: [...same.names, ...plan.names] } : plan);
  }
  return [...found.values()];
}

function shownPlan({ name, words, lap, stints, predicted, programText }: Plan, target: Target): ShownPlan {
  const { pvNm, rmsNm, overcutNm, minutes, removalNm } = predicted;
  return {
    names: [name],
    words,
    lapTitle: lap.title,
    turns: stints.reduce((sum, { turns }) => sum + turns, 0),
    minutes,
    pvNm,
    rmsNm,
    overcutNm,
    stints: stints.map(shownStint),
    curve: beforeAfter(target, removalNm),
    programText,
  };
}

function shownStint({ candidate, turns }: ChosenStint): ShownPlan['stints'][number] {
  const { settingMm, lengthMm, widthMm, nudge } = candidate;
  return { turns, shape: widthMm > 0 ? 'ellipse' : 'straight', settingMm, lengthMm, nudgeMm: nudge?.byMm ?? 0 };
}
