/** What can be said before any solver is loaded: the lap whose turns, need they not be whole, would leave least. */
import type { Lap } from '../shelf/types';
import { CandidateCache } from './candidates';
import { outlook, problemOf, relaxedTurns } from './problem';
import { depthShareOf, type SuggestRequest, TEST_RUN_SIGMA } from './suggest';
import { targetOf } from './target';
import type { Outlook, Relaxed } from './types';

export interface AnswerAtOnce {
  lap: Lap;
  relaxed: Relaxed;
  predicted: Outlook;
  words: string;
}

/**
 * The relaxed answer of the best lap; null where there is nothing to do, no lap fits, or the best lap's coefficient must be learned
 * first. Whole turns may favour another lap: this is what to expect, not what to work.
 *
 * @throws RangeError for an allowance that would ask for glass to be added
 */
export function answerAtOnce(request: SuggestRequest, cache = new CandidateCache()): AnswerAtOnce | null {
  const { figure, laps, stand, turntableRpm, strokesPerMinute } = request;
  const target = targetOf(figure, request);
  if (outlook(problemOf(target, [], figure.glass, 1, request), []).pvNm <= request.enoughNm) return null;
  let best: AnswerAtOnce | null = null;
  for (const lap of laps) {
    const { kPerPa, sigma } = request.knowledgeOf(lap);
    const settings = { glass: figure.glass, lap, kPerPa, turntableRpm, strokesPerMinute, stand };
    const candidates = cache.get({ ...settings, radiusMm: target.radiusMm });
    if (candidates.length === 0 || sigma > TEST_RUN_SIGMA) continue;
    const problem = problemOf(target, candidates, figure.glass, depthShareOf(sigma), request);
    const relaxed = relaxedTurns(problem);
    const predicted = outlook(problem, relaxed.chosen);
    if (best !== null && best.predicted.pvNm <= predicted.pvNm) continue;
    const words =
      `With turns that need not be whole ${lap.title} would leave about ${predicted.pvNm.toFixed(0)} nm ` +
      `from high to low after ${relaxed.minutes.toFixed(0)} minutes.`;
    best = { lap, relaxed, predicted, words };
  }
  return best;
}
