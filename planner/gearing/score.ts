/**
 * How unevenly a pattern works round the glass.
 *
 * A fault of order h of the lap (h-fold about its own axis), carried by strokes whose azimuths and lap orientations are known,
 * leaves on the glass an error of azimuthal order q with the share
 *
 *     | mean over strokes of exp(2 pi i (q azimuth + h orientation)) |,   0 = averaged out, 1 = printed in full.
 *
 * h = 0 is the pattern of the strokes alone; q = 0 with h not 0 is a fault that stays as rings. Where the pattern closes, the mean is
 * exactly 0 unless K divides q N + h J (K periods, N turns, J turns of the lap): the indexing theorem, by which N equal clockings
 * leave only the orders k N (Evans & Kestner, Applied Optics 35, 1996), for turntable and lap together. The sums are in sums.ts.
 *
 * What is scored: strokes that are nudged and strokes that are not, each for themselves, q = 0..4 with |h| = 0..4 and the lap's own
 * orders. The stroke's azimuth is that of its far end, the lap's orientation that at its begin (a clocking stroke counts as not yet
 * clocked). A lap that gearing does not turn (held, turned by hand, free, or clocked but once) keeps every order of its own with q = 0:
 * that would drown all else and no gearing can mend it, so only the azimuths are scored then (h = 0) and the words say what stays.
 * A lap that turns steadily is scored by its orientation at each stroke; 1:1 with the turntable, or another low ratio, prints in full.
 */
import type { Lap } from '../shelf/types';
import { lapTakesTurns, type Pattern } from './pattern';
import { PatternSums } from './sums';

export const SCORED_ORDERS = 4;
export const REPORTED_ORDERS = 8;

/** One order that remains: the lap's h-fold fault (0: the strokes alone) appears on the glass with azimuthal order q. */
export interface OrderShare {
  q: number;
  h: number;
  nudged: boolean;
  /** 0..1: how much of it is printed. */
  share: number;
}

/** Orders in which the lap is not round: the points of a star; two- and four-fold for square facets. */
export function lapOrders(lap: Lap): number[] {
  const orders = lap.facets ? [2, 4] : [];
  if (lap.outline.shape === 'star') orders.push(lap.outline.points);
  return orders;
}

/** Every order up to `maxOrder` (and the lap's own) with the share it is printed with, worst first; zeros are left out. */
export function printedOrders(
  pattern: Pattern,
  ownOrders: readonly number[],
  maxOrder: number,
  offsets?: Float64Array,
): OrderShare[] {
  const found: OrderShare[] = [];
  const sums = new PatternSums(pattern, offsets);
  for (const nudged of [false, true]) {
    if (!sums.has(nudged)) continue;
    for (const [q, h] of orderPairs(pattern, ownOrders, maxOrder)) {
      const share = sums.share(nudged, q, h);
      if (share > 1e-9) found.push({ q, h, nudged, share });
    }
  }
  return found.sort((a, b) => b.share - a.share || a.q + Math.abs(a.h) - (b.q + Math.abs(b.h)));
}

/**
 * The worst share among the scored orders, and among the low ones (q and |h| up to 2), which matter most. A search may stop the
 * count once the worst share is more than `enough`.
 */
export function scorePattern(
  pattern: Pattern,
  ownOrders: readonly number[],
  offsets?: Float64Array,
  enough = Number.POSITIVE_INFINITY,
): { worst: number; worstLow: number } {
  let worst = 0;
  let worstLow = 0;
  const sums = new PatternSums(pattern, offsets);
  for (const nudged of [false, true]) {
    if (!sums.has(nudged)) continue;
    for (const [q, h] of orderPairs(pattern, ownOrders, SCORED_ORDERS)) {
      const share = sums.share(nudged, q, h);
      worst = Math.max(worst, share);
      if (q <= 2 && Math.abs(h) <= 2) worstLow = Math.max(worstLow, share);
      if (worst > enough) return { worst, worstLow };
    }
  }
  return { worst, worstLow };
}

/** Whether an order counts in the score (or is only reported). */
export function isScored({ q, h }: OrderShare, ownOrders: readonly number[]): boolean {
  return q <= SCORED_ORDERS && (Math.abs(h) <= SCORED_ORDERS || ownOrders.includes(Math.abs(h)));
}

const pairsByKey = new Map<string, [number, number][]>();

/** (q, h) pairs to look at, lowest first. (0, -h) repeats (0, h) and is left out. */
function orderPairs(pattern: Pattern, ownOrders: readonly number[], maxOrder: number): [number, number][] {
  const turning = lapTakesTurns(pattern);
  const key = `${turning} ${maxOrder} ${turning ? ownOrders.join() : ''}`;
  const known = pairsByKey.get(key);
  if (known) return known;
  const lapSide = new Set<number>([0]);
  if (turning) {
    for (let h = 1; h <= maxOrder; h++) lapSide.add(h);
    for (const h of ownOrders) lapSide.add(h);
  }
  const pairs: [number, number][] = [];
  for (const h of lapSide) {
    for (let q = h === 0 ? 1 : 0; q <= maxOrder; q++) {
      pairs.push([q, h]);
      if (q > 0 && h > 0) pairs.push([q, -h]);
    }
  }
  pairs.sort((a, b) => a[0] + Math.abs(a[1]) - (b[0] + Math.abs(b[1])));
  pairsByKey.set(key, pairs);
  return pairs;
}
