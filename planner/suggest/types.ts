/** What a suggestion is made of. Depths nm, lengths mm, times minutes. */
import type { Certificate } from './least-squares';

/** A stint that could be worked: what one of its turns takes off. */
export interface Candidate {
  id: string;
  lapId: string;
  settingMm: number;
  lengthMm: number;
  /** 0 for straight. */
  widthMm: number;
  sense: 1 | -1;
  nudge: { everyStrokes: number; byMm: number } | null;
  /** Depth of one turn at each radius of the target's grid, nm, at the coefficient assumed. */
  profileNmPerTurn: Float64Array;
  minutesPerTurn: number;
}

export interface ChosenStint {
  candidate: Candidate;
  turns: number;
}

/** Turns as real numbers: the answer at once. */
export interface Relaxed {
  chosen: ChosenStint[];
  minutes: number;
  residualRmsNm: number;
  certificate: Certificate;
}

/** What is expected of a choice of stints, at the coefficient assumed. */
export interface Outlook {
  /** Surface against its best fit after the work, over the measured part. */
  pvNm: number;
  rmsNm: number;
  /** Deepest cut under the target, nm; 0 if none. */
  overcutNm: number;
  removalNm: Float64Array;
  minutes: number;
}
