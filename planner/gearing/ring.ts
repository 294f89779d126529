/** The ring of reversal azimuths: where on the turn the strokes reverse, for the Evenness drawing. */
import type { GearedStint } from './types';

/** Azimuths in turns, 0 <= a < 1, ascending, each once: the turntable's angle when the lap stands at the end of a stroke. */
export interface ReversalRing {
  near: number[];
  /** Far ends of strokes without a nudge. */
  far: number[];
  /** Far ends of nudged strokes. */
  nudged: number[];
}

/** Reversals of one stint. In whole numbers, so that places that coincide are one place: stroke i reverses at (2 i + 1) N / 2 M. */
export function reversalRing({ stint, turns, strokes, strokesBefore }: GearedStint): ReversalRing {
  const every = stint.nudge?.everyStrokes ?? 0;
  const whole = 2 * strokes;
  const [near, far, nudged] = [new Set<number>(), new Set<number>(), new Set<number>()];
  for (let i = 0; i < strokes; i++) {
    near.add((2 * i * turns) % whole);
    const isNudged = every > 0 && (strokesBefore + i + 1) % every === 0;
    (isNudged ? nudged : far).add(((2 * i + 1) * turns) % whole);
  }
  const azimuths = (places: Set<number>): number[] => [...places].sort((a, b) => a - b).map((place) => place / whole);
  return { near: azimuths(near), far: azimuths(far), nudged: azimuths(nudged) };
}
