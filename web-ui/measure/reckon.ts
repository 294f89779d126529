/** What the worker of this page is asked and answers, and how a suggestion is worked out; pure. */

import { reduce } from '../../planner/figure/reduce';
import type { ReferenceKind } from '../../planner/figure/reference';
import type { Figure, Measurement } from '../../planner/figure/types';
import type { Lap } from '../../planner/shelf/types';
import type { LinearSolver } from '../../planner/suggest/milp';
import type { LapKnowledge, SuggestRequest } from '../../planner/suggest/suggest';
import type { Suggested, SuggestInSteps } from './suggested';

export interface ReduceAsk {
  ask: 'reduce';
  number: number;
  measurement: Measurement;
  reference: ReferenceKind;
}

/** What the person asks for; the coefficients by the id of the lap. */
export interface SuggestAsk {
  ask: 'suggest';
  number: number;
  request: Omit<SuggestRequest, 'knowledgeOf' | 'seconds' | 'alternatives' | 'edgeWeight' | 'laps'> & { laps: Lap[] };
  known: Record<string, LapKnowledge>;
}

export type Ask = ReduceAsk | SuggestAsk;

export type Reckoned =
  | { ask: 'reduce'; number: number; figure: Figure }
  | ({ ask: 'suggest'; number: number } & Suggested)
  | { ask: Ask['ask']; number: number; failed: string };

/** What is large and seldom needed, and so fetched by whoever runs this. */
export interface Larder {
  suggesting(): Promise<{ suggestInSteps: SuggestInSteps }>;
  solving(): Promise<LinearSolver>;
}

/** Answers once, or for a suggestion twice: what can be said at once, and the whole of it. */
export async function reckon(ask: Ask, answer: (answer: Reckoned) => void, larder: Larder): Promise<void> {
  const { number } = ask;
  try {
    if (ask.ask === 'reduce') {
      answer({ ask: 'reduce', number, figure: reduce(ask.measurement, ask.reference) });
      return;
    }
    const { suggestInSteps } = await larder.suggesting();
    await suggestInSteps(ask, (suggested) => answer({ ask: 'suggest', number, ...suggested }), larder.solving);
  } catch (error) {
    answer({ ask: ask.ask, number, failed: error instanceof Error ? error.message : String(error) });
  }
}
