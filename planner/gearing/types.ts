import type { Stint } from '../program/types';

/** What the gearing chose for one stint: whole strokes in whole turns, an exact clocking angle, and how even that is. */
export interface GearedStint {
  stint: Stint;
  turns: number;
  /** M: whole double strokes in the stint. */
  strokes: number;
  strokesPerTurn: number;
  nudges: number;
  clockings: number;
  /**
   * Signed exact angle of one clocking in turns of the lap (j/C, sign as asked); with steady rotation the exact lap turns (in the
   * stand) per turn of the turntable (J/N); 0 where gearing does not turn the lap.
   */
  clockingTurns: number;
  /** Strokes already counted towards the next nudge and clocking when the stint begins (0 unless a group counts on). */
  strokesBefore: number;
  /** (actual - wanted) / wanted strokes per minute. */
  rateDeviation: number;
  /** K / gcd(K, N): places where the pattern's period begins, on the ring of azimuths. */
  distinctAzimuths: number;
  /** 1 - worst share of the scored orders (see score.ts). Below 0.7 it warns. */
  evenness: number;
  warnings: string[];
}
