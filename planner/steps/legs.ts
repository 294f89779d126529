/**
 * Legs: the walk runs from rest to rest, from the law's start over every planned rest to its end. The controller counts
 * whole path ticks and the law runs in seconds, so each leg ends on the first tick at or after the law's rest. Ticks are
 * counted from the law's start, never from the leg's, so the roundings do not add up.
 */
import type { Path } from '../path/types';
import type { TimeLaw } from '../timing/types';
import { SEGMENT_MIN_TICKS } from './segment';

export interface Leg {
  /** Path ticks since the law's start at which the leg begins and ends. */
  fromTick: number;
  toTick: number;
  /** The law's time of the rest that ends the leg, seconds. */
  restSeconds: number;
  /** Turns walked at that rest. */
  restTurns: number;
}

/** A law time that misses a tick by less than this many ticks is taken to be on it. */
const SAME_TICK = 1e-6;

/** The legs of a walk, in order; at least one. Throws RangeError when path and law do not tell of the same rests. */
export function legsOf(path: Path, law: TimeLaw, tickHz: number): Leg[] {
  const turns = path.rests.map((rest) => rest.turns).filter((at) => at > law.fromTurns && at < law.toTurns);
  if (turns.length !== law.restSeconds.length) {
    throw new RangeError(
      `The path has ${turns.length} planned rests between ${law.fromTurns} and ${law.toTurns} turns, the time law ${law.restSeconds.length}.`,
    );
  }
  const legs: Leg[] = [];
  let fromTick = 0;
  const add = (restSeconds: number, restTurns: number): void => {
    // A leg cannot be shorter than the shortest segment; what is added stands still at the rest.
    const toTick = Math.max(fromTick + SEGMENT_MIN_TICKS, Math.ceil(restSeconds * tickHz - SAME_TICK));
    legs.push({ fromTick, toTick, restSeconds, restTurns });
    fromTick = toTick;
  };
  for (let i = 0; i < turns.length; i++) add(law.restSeconds[i]!, turns[i]!);
  add(law.durationSeconds, law.toTurns);
  return legs;
}

/** Number of the leg that the segment after `tick` belongs to. Throws RangeError when the walk would have ended by then. */
export function legAfter(legs: readonly Leg[], tick: number): number {
  const found = legs.findIndex((leg) => leg.toTick - tick >= SEGMENT_MIN_TICKS);
  if (found < 0) throw new RangeError(`A walk that is at tick ${tick} cannot end at tick ${legs.at(-1)!.toTick}.`);
  return found;
}

/** Turns walked at a tick (need not be whole) of a leg; clamped to the leg's rest. */
export function turnsAtTick(law: TimeLaw, leg: Leg, tick: number, tickHz: number): number {
  if (tick >= leg.toTick) return leg.restTurns;
  const seconds = tick / tickHz;
  return seconds >= leg.restSeconds ? leg.restTurns : law.turnsAt(seconds);
}
