/**
 * The path: for every number of turns walked since the start (u, a real number), the place of every axis. Time is not in it: whoever
 * pauses, eases or goes on changes only how fast u grows.
 */
import type { GearedStint } from '../gearing/types';

/** Index of each quantity in the arrays that sampling fills. */
export const PLACE = { turntableTurns: 0, xMm: 1, yMm: 2, lapTurns: 3 } as const;
export const PLACE_SIZE = 4;

/** A place of the lap: turntable and lap angle in turns, centre of the lap in the stand frame in mm. */
export interface Place {
  turntableTurns: number;
  xMm: number;
  yMm: number;
  lapTurns: number;
}

/** A planned rest at the index. The walk stands still there; the lap goes up where the reason needs it. */
export interface PlannedRest {
  /** Whole turns walked when it happens, 0 < turns < N. */
  turns: number;
  reason: 'hand clocking' | 'pattern change';
  words: string;
}

export interface PathStint {
  geared: GearedStint;
  /** Whole turns walked at the stint's begin and end. */
  fromTurns: number;
  toTurns: number;
  /** Over how many strokes the change from the pattern before is blended; 0 where nothing has to be. */
  blendStrokes: number;
}

export interface Path {
  /** N, whole. */
  readonly turns: number;
  readonly stints: readonly PathStint[];
  readonly rests: readonly PlannedRest[];
  /** Place at u in [0, N] (clamped). Allocates; for readers, tests and screens. */
  at(u: number): Place;
  /** Fills out[0..3] with the place at u (order of PLACE). */
  sample(u: number, out: Float64Array): void;
  /** Fills out[0..3] with d/du and out[4..7] with d2/du2 of the place. At a stint's border: the values of the later stint. */
  derivatives(u: number, out: Float64Array): void;
}
