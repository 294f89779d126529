/**
 * Candidates by number theory, choice by their sums.
 *
 * A candidate is a whole number of strokes M near the wanted rate and a whole number of lap turns J near the asked clocking angle
 * (J/C of a turn for C clockings) or the asked steady ratio (J/N). Each is weighed as
 *
 *     worst share + 0.1 (lack of distinct azimuths) + 0.2 |rate deviation| + 0.1 |angle deviation|
 *
 * so that evenness decides, then the rate, then the angle. Candidates come nearest first and the search ends when nearness alone
 * costs more than the best found, so a long stint is geared as quickly as a short one.
 */
import { closes, distinctAzimuths, gcd, type Pattern, periodStrokes } from './pattern';
import { worstShare } from './score';

/** Fewer places than this on the ring of azimuths leave a low order of the nudges or clockings on the glass. */
export const ENOUGH_AZIMUTHS = 9;
export const ENOUGH_EVENNESS = 0.7;
/** Gain in evenness for which it is worth changing the number of turns. */
const CLEARLY_BETTER = 0.2;
const AZIMUTH_WEIGHT = 0.1;
const RATE_WEIGHT = 0.2;
const ANGLE_WEIGHT = 0.1;
/** How far the clocking angle or steady ratio may be from the asked one, relative; the two nearest are always looked at. */
const ANGLE_TOLERANCE = 0.25;

/** What is to be geared: all occurrences of one line of the program. */
export interface Ask {
  turnsEach: number;
  occurrences: number;
  /** Wanted double strokes per turn of the turntable. */
  strokesPerTurn: number;
  rateTolerance: number;
  nudgeEvery: number;
  /** How gearing turns the lap: in steps of about `turns` on every m-th stroke, steadily at about `turns` a turn, or not. */
  lap: { kind: 'steps'; every: number; turns: number } | { kind: 'steady'; turns: number } | { kind: 'held' };
}

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

/** Whole strokes of one occurrence within the rate tolerance for which the periods close, nearest to the wanted rate first. */
export function strokeCandidates(ask: Ask): number[] {
  const wanted = ask.turnsEach * ask.strokesPerTurn;
  const [low, high] = [wanted * (1 - ask.rateTolerance) - 1e-9, wanted * (1 + ask.rateTolerance) + 1e-9];
  const period = periodStrokes(ask.nudgeEvery, ask.lap.kind === 'steps' ? ask.lap.every : 0);
  // M of one occurrence times their number must hold a whole number of periods.
  const unit = period / gcd(period, ask.occurrences);
  const list: number[] = [];
  for (let m = Math.max(unit, Math.ceil(low / unit) * unit); m <= high; m += unit) list.push(m);
  return list.sort((a, b) => Math.abs(a - wanted) - Math.abs(b - wanted) || a - b);
}

/** The best choice for an ask. Where no number of strokes closes the periods, the best that does not (see `closes`). */
export function choose(ask: Ask, ownOrders: readonly number[], offsets?: Float64Array): Choice {
  const wanted = ask.turnsEach * ask.strokesPerTurn;
  let strokes = strokeCandidates(ask);
  if (strokes.length === 0) strokes = openCandidates(wanted, ask.rateTolerance);
  let best: Choice | null = null;
  for (const each of strokes) {
    const rateDeviation = each / wanted - 1;
    const rateCost = RATE_WEIGHT * Math.abs(rateDeviation);
    if (best && rateCost >= best.cost) break;
    for (const { lapTurns, lapStep, deviation } of lapCandidates(ask, each * ask.occurrences)) {
      const nearness = rateCost + ANGLE_WEIGHT * deviation;
      if (best && nearness >= best.cost) break;
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
      const worst = worstShare(pattern, ownOrders, offsets, best ? best.cost - fixed : undefined);
      const cost = fixed + worst;
      if (!best || cost < best.cost) best = { pattern, worst, distinct, rateDeviation, lapStep, cost };
    }
  }
  return best as Choice;
}

/** Whether a choice is good enough not to warn about. */
export function isEven(choice: Choice): boolean {
  return 1 - choice.worst >= ENOUGH_EVENNESS && choice.distinct >= ENOUGH_AZIMUTHS && closes(choice.pattern);
}

/**
 * Numbers of turns near the asked one (nearest first, more before fewer) that do better: the nearest that is clearly more even and has
 * enough azimuths, and, if that one still warns, the nearest that does not.
 */
export function offerTurns(ask: Ask, asked: Choice, ownOrders: readonly number[]): Choice[] {
  const reach = Math.min(60, Math.max(8, Math.ceil(ask.turnsEach / 4)));
  const offers: Choice[] = [];
  for (let away = 1; away <= reach; away++) {
    for (const turnsEach of [ask.turnsEach + away, ask.turnsEach - away]) {
      if (turnsEach < 1) continue;
      const choice = choose({ ...ask, turnsEach }, ownOrders);
      if (isEven(choice)) return [...offers, choice];
      const better = choice.distinct >= ENOUGH_AZIMUTHS && choice.worst <= asked.worst - CLEARLY_BETTER;
      if (offers.length === 0 && better && closes(choice.pattern)) offers.push(choice);
    }
  }
  return offers;
}

/** Whole strokes within the tolerance (or the nearest whole number), when no period fits. */
function openCandidates(wanted: number, tolerance: number): number[] {
  const list: number[] = [];
  const [low, high] = [wanted * (1 - tolerance) - 1e-9, wanted * (1 + tolerance) + 1e-9];
  for (let m = Math.max(1, Math.ceil(low)); m <= high && list.length < 200; m++) list.push(m);
  if (list.length === 0) list.push(Math.max(1, Math.round(wanted)));
  return list.sort((a, b) => Math.abs(a - wanted) - Math.abs(b - wanted) || a - b);
}

interface LapCandidate {
  lapTurns: number;
  lapStep: number;
  /** Relative distance from what was asked. */
  deviation: number;
}

/** Whole lap turns over all strokes, nearest to the asked angle or ratio first; never 0 and always of the asked sense. */
function* lapCandidates(ask: Ask, strokes: number): Generator<LapCandidate> {
  if (ask.lap.kind === 'held') {
    yield { lapTurns: 0, lapStep: 0, deviation: 0 };
    return;
  }
  const asked = Math.abs(ask.lap.turns);
  const sense = Math.sign(ask.lap.turns);
  const parts = ask.lap.kind === 'steps' ? Math.floor(strokes / ask.lap.every) : ask.turnsEach * ask.occurrences;
  if (asked === 0 || parts === 0) {
    yield { lapTurns: 0, lapStep: 0, deviation: 0 };
    return;
  }
  if (ask.lap.kind === 'steps' && parts === 1) {
    // One clocking cannot close; it is made as asked.
    yield { lapTurns: ask.lap.turns, lapStep: ask.lap.turns, deviation: 0 };
    return;
  }
  const ideal = asked * parts;
  let down = Math.floor(ideal);
  let up = down + 1;
  for (let found = 0; ; found++) {
    const takeDown = down >= 1 && ideal - down <= up - ideal;
    const whole = takeDown ? down-- : up++;
    const deviation = Math.abs(whole / ideal - 1);
    if (found >= 2 && deviation > ANGLE_TOLERANCE) return;
    yield { lapTurns: sense * whole, lapStep: (sense * whole) / parts, deviation };
  }
}
