/** What is learned from measured runs, and about what: a lap with a slurry on a glass. */
import type { Figure } from '../figure/types';

/** One run between two measurements. */
export interface MeasuredRun {
  id: string;
  lapId: string;
  slurryId: string | null;
  glassId: string;
  before: Figure;
  after: Figure;
  /** Radii (mm, ascending) and what the forecast for the turns actually walked took off there, nm. */
  forecast: { radiusMm: readonly number[]; removalNm: readonly number[] };
  /** Coefficient the forecast was made with, 1/Pa. */
  kPerPa: number;
  /** Minutes this lap had worked with this slurry before the run, and in it. */
  minutesBefore: number;
  minutes: number;
  /** Mean speed of the lap over the glass as it was walked (planned speed times mean pace): only its changes count. */
  meanSpeedMmPerS: number;
}

/** What one run says by itself. */
export interface RunEvidence {
  id: string;
  /** Not positive where noise was larger than what was taken off; ./too-shallow.ts says from where on it teaches. */
  kPerPa: number;
  /** Standard deviation, 1/Pa. */
  kSigmaPerPa: number;
  /** Actual over forecast depth. */
  ratio: number;
  radiusMm: number[];
  /** Removed less ratio x forecast, nm, against its best fit: where the shape disagreed. */
  shapeResidualNm: number[];
  /** Half width of the 95 % band of that. */
  shapeBandNm: number[];
  /** Mean square of the misfit over what the noise explains; about 1 where the forecast's shape is right. */
  misfit: number;
  /** What may be behind a disagreement, in words; empty where there is none. */
  causes: string[];
  /** Middle of the run, minutes of work of the lap. */
  atMinutes: number;
  meanSpeedMmPerS: number;
}

export interface BreakIn {
  /** Relative change of the coefficient of a fresh lap, e.g. -0.3: cuts a third less; fades with `minutes`. */
  atFirst: number;
  minutes: number;
}

export interface Learned {
  /** For the next run, 1/Pa. */
  kPerPa: number;
  /** Relative standard deviation for the next run: doubt of the mean and scatter from run to run. */
  sigma: number;
  runs: number;
  breakIn: BreakIn | null;
  /** Sentences: pace changed, runs disagree. */
  warnings: string[];
}
