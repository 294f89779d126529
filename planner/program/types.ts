/**
 * A stroke program after reading: units gone (the unit is in the name), shelf names looked up, repeats and alternations
 * unrolled into stints. What the person wrote stays findable through `line`.
 */
import type { Glass, Lap, Slurry } from '../shelf/types';

/** A complaint about a file a person wrote. Never thrown: reading returns all it can find at once. */
export interface Complaint {
  file: string;
  /** 1-based. */
  line: number;
  /** 1-based. */
  column: number;
  /** Where in the file's structure, e.g. `do[2].nudge.by`. */
  field: string;
  /** What is wrong, what it means for the glass, what to do. */
  message: string;
}

export type Shape = 'straight' | 'ellipse';

/** Every n-th stroke ends `byMm` nearer to the axis at its far end (further out where negative); its near end stays. */
export interface Nudge {
  everyStrokes: number;
  byMm: number;
}

/** How the lap turns about its own axis during a stint. */
export type Clocking =
  | { kind: 'none' }
  /** A smooth step near `askedDeg` (the gearing picks the exact angle) on every m-th stroke; `share` of a stroke it takes. */
  | { kind: 'steps'; everyStrokes: number; askedDeg: number; share: number }
  /** Geared all the time: lap turns (in the stand's frame) per turn of the turntable. */
  | { kind: 'steady'; lapTurnsPerTurn: number }
  /** A planned rest at the index, the lap up, a person turns it by `byDeg`; then again every `everyTurns` turns. */
  | { kind: 'byHand'; everyTurns: number; byDeg: number }
  /** Nobody turns it: friction does. */
  | { kind: 'free' };

/** One pattern for a whole number of turns. Sense: +1 anticlockwise seen from above, only told apart for an ellipse. */
export interface Stint {
  turns: number;
  shape: Shape;
  /** Setting radius, distance of the mean track from the axis at mid-stroke. */
  settingMm: number;
  lengthMm: number;
  /** Full width of the ellipse; 0 for straight. */
  widthMm: number;
  sense: 1 | -1;
  /** Wanted double strokes per minute and how far the gearing may leave it (0.1 unless the person says so). */
  strokesPerMinute: number;
  rateTolerance: number;
  nudge: Nudge | null;
  clocking: Clocking;
  /** Where the person wrote it. */
  line: number;
  /**
   * Stints with the same group came from the same line inside a repeat or alternation: they are geared as a whole where
   * that is possible (nudges and clockings count on from one to the next).
   */
  group: number;
}

export interface Program {
  title: string;
  file: string;
  glass: Glass;
  lap: Lap;
  slurry: Slurry | null;
  turntableRpm: number;
  stints: Stint[];
}

export const MAX_TURNS = 20_000;
