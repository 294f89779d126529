/**
 * What makes a stint impossible or pointless although each of its values is good; for the reader of files and for screens alike. Words
 * say what it means for the glass and what to do.
 */
import type { Lap } from '../shelf/types';
import type { Clocking, Stint } from './types';

/** Ratios with so small a denominator bring the same face of the lap to the same place of the glass again and again. */
const LOWEST_DENOMINATOR = 4;
/** So many strokes to a turn that the turntable hardly moves is a slip of a unit, not a pattern. */
const MOST_STROKES_PER_TURN = 500;

/** Why a lap must not turn steadily at this ratio (its turns per turn of the turntable), or null. */
export function steadyTrouble(ratio: number): string | null {
  for (let turns = 1; turns <= LOWEST_DENOMINATOR; turns++) {
    if (Math.abs(ratio * turns - Math.round(ratio * turns)) > 1e-9) continue;
    const when = turns === 1 ? 'every turn' : `every ${turns} turns`;
    return [
      `With ${turnsWords(ratio)} of the lap to one of the turntable the same face of the lap meets the same place of the glass ${when}:`,
      'its faults print there and the glass does not stay round. Take an uneven ratio, e.g. 0.37.',
    ].join(' ');
  }
  return null;
}

/** Why this clocking cannot be done with this lap, or null. */
export function clockingTrouble(clocking: Clocking, lap: Omit<Lap, 'id'>): string | null {
  if (lap.rotation === 'driven' && clocking.kind === 'free') {
    const remedy = 'Choose a lap with rotation: free, or another clock.';
    return `"${lap.title}" is held by the stand and cannot turn freely. ${remedy}`;
  }
  if (lap.rotation === 'free' && clocking.kind !== 'free') {
    const remedy = 'Write clock: free or leave it out, or choose a driven lap.';
    return `"${lap.title}" turns as friction will have it: nothing clocks or holds it. ${remedy}`;
  }
  return null;
}

/** Why so many double strokes a minute make no sense at this speed of the turntable, or null. */
export function rateTrouble(strokesPerMinute: number, turntableRpm: number): string | null {
  if (strokesPerMinute / turntableRpm <= MOST_STROKES_PER_TURN) return null;
  const perTurn = Math.round(strokesPerMinute / turntableRpm);
  return `${perTurn} strokes to a turn is more than ${MOST_STROKES_PER_TURN}. Check the rate and the turntable's speed.`;
}

/**
 * What needs every n-th stroke needs n strokes; a stint is at least one.
 *
 * @param turns all that this stint gets, its repeats counted in
 */
export function strokeTroubles(
  stint: Stint,
  turns: number,
  turntableRpm: number,
): { key: 'rate' | 'nudge' | 'clock'; message: string }[] {
  const fastest = (stint.strokesPerMinute / turntableRpm) * (1 + stint.rateTolerance);
  if (Math.floor(stint.turns * fastest) < 1) {
    const message = `Not even one whole stroke fits in ${turnsWords(stint.turns)}. Raise the rate, or slow the turntable.`;
    return [{ key: 'rate', message }];
  }
  const most = Math.floor(turns * fastest);
  const troubles: { key: 'nudge' | 'clock'; message: string }[] = [];
  const { nudge, clocking } = stint;
  if (nudge && nudge.everyStrokes > most) {
    const message = `Every ${nudge.everyStrokes} strokes, but there are ${most} at most: it would never be nudged.`;
    troubles.push({ key: 'nudge', message: `${message} Nudge more often, or work more turns.` });
  }
  if (clocking.kind === 'steps' && clocking.everyStrokes > most) {
    const message = `Every ${clocking.everyStrokes} strokes, but there are ${most} at most: the lap would never be clocked.`;
    troubles.push({ key: 'clock', message: `${message} Clock more often, or work more turns.` });
  }
  return troubles;
}

function turnsWords(turns: number): string {
  return turns === 1 ? '1 turn' : `${turns} turns`;
}
