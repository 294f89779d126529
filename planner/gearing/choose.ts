/**
 * Choice by the sums. Each candidate is weighed as
 *
 *     worst share + 0.05 worst low share + 0.1 (lack of distinct azimuths) + 0.2 |rate deviation| + 0.1 |angle deviation|
 *
 * so that evenness decides, then the rate, then the angle. Candidates come nearest first and the search ends when nearness alone
 * costs more than the best found, so a long stint is geared as quickly as a short one.
 */
import { type Ask, askPeriod, LONG_PERIOD, lapCandidates, openCandidates, strokeCandidates } from './candidates';
import { closes, distinctAzimuths, type Pattern } from './pattern';
import { scorePattern } from './score';

/** Fewer places than this on the ring of azimuths leave a low order of the nudges or clockings on the glass. */
export const ENOUGH_AZIMUTHS = 9;
export const ENOUGH_EVENNESS = 0.7;
/** Gain in evenness for which it is worth changing the number of turns. */
const CLEARLY_BETTER = 0.2;
const MOST_TURNS_AWAY = 16;
const LOW_WEIGHT = 0.05;
const AZIMUTH_WEIGHT = 0.1;
const RATE_WEIGHT = 0.2;
const ANGLE_WEIGHT = 0.1;

export interface Choice {
  pattern: Pattern;
  /** Worst share of the scored orders, 0 = even. */
  worst: number;
  distinct: number;
  /** Signed, relative. */
  rateDeviation: number;
  /** Turns of the lap per clocking (steps) or per turn of the turntable (steady); 0 when it is held. */
  lapStep: number;
  cost: number;
}

/**
 * The best choice for an ask. Where no number of strokes closes the periods, the best that does not (see `closes`).
 *
 * @param offsets lap turns that other stints add before each occurrence
 */
export function choose(ask: Ask, ownOrders: readonly number[], offsets?: Float64Array): Choice {
  const wanted = ask.turnsEach * ask.strokesPerTurn;
  let strokes = strokeCandidates(ask);
  if (strokes.length === 0) strokes = openCandidates(ask);
  let best: Choice | null = null;
  for (const each of strokes) {
    const rateDeviation = each / wanted - 1;
    const rateCost = RATE_WEIGHT * Math.abs(rateDeviation);
    if (best && rateCost >= best.cost) break;
    for (const { lapTurns, lapStep, deviation } of lapCandidates(ask, each * ask.occurrences)) {
      const nearness = rateCost + ANGLE_WEIGHT * deviation;
      if (best && nearness >= best.cost) {
        // Steady ratios come as two runs, each nearest first; a clocking has only the one.
        if (ask.lap.kind === 'steady') continue;
        break;
      }
      const pattern: Pattern = {
        turns: ask.turnsEach * ask.occurrences,
        strokes: each * ask.occurrences,
        occurrences: ask.occurrences,
        nudgeEvery: ask.nudgeEvery,
        clockEvery: ask.lap.kind === 'steps' ? ask.lap.every : 0,
        lapTurns,
      };
      const distinct = distinctAzimuths(pattern);
      const fixed = nearness + AZIMUTH_WEIGHT * Math.max(0, 1 - distinct / ENOUGH_AZIMUTHS);
      const { worst, worstLow } = scorePattern(pattern, ownOrders, offsets, best ? best.cost - fixed : undefined);
      const cost = fixed + worst + LOW_WEIGHT * worstLow;
      if (!best || cost < best.cost) best = { pattern, worst, distinct, rateDeviation, lapStep, cost };
    }
  }
  return best as Choice;
}

/** Whether a choice is worth offering as even: closed, no low order left, and enough places on the ring. */
export function isEven(choice: Choice): boolean {
  return 1 - choice.worst >= ENOUGH_EVENNESS && choice.distinct >= ENOUGH_AZIMUTHS && closes(choice.pattern);
}

/**
 * Numbers of turns near the asked one (nearest first, more before fewer) that do better: the nearest that is clearly more even and has
 * enough azimuths, and, if that one is not even, the nearest that is.
 */
export function offerTurns(ask: Ask, asked: Choice, ownOrders: readonly number[]): Choice[] {
  if (askPeriod(ask) > LONG_PERIOD) return [];
  const reach = Math.min(MOST_TURNS_AWAY, Math.max(8, Math.ceil(ask.turnsEach / 4)));
  const offers: Choice[] = [];
  for (let away = 1; away <= reach; away++) {
    for (const turnsEach of [ask.turnsEach + away, ask.turnsEach - away]) {
      const other = { ...ask, turnsEach };
      if (turnsEach < 1 || strokeCandidates(other).length === 0) continue;
      const choice = choose(other, ownOrders);
      if (isEven(choice)) return [...offers, choice];
      const better = choice.distinct >= ENOUGH_AZIMUTHS && choice.worst <= asked.worst - CLEARLY_BETTER;
      if (offers.length === 0 && better) offers.push(choice);
    }
  }
  return offers;
}
