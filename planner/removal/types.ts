/** The forecast of a program, as the terminal prints it and the screens draw it. Lengths in mm, heights in nm. */

/** One place across the lap's track. */
export interface RimReport {
  /** Rims: setting radius -/+ the lap's radius. Middle: the setting radius. */
  radiusMm: number;
  /** Depth taken off at that radius. */
  depthNm: number;
  /**
   * Rims: how far the flank on that side takes from 10 to 90 % of the peak; null where axis or rim cut it off. Middle: width
   * of the band above 90 % of the peak.
   */
  width1090Mm: number | null;
  /** How a person at the stand would name it: on their left, on their right, far from them or near. */
  seen: 'left' | 'right' | 'far' | 'near' | 'middle';
}

export interface StintForecast {
  /** Line in the program. */
  line: number;
  turns: number;
  innerRim: RimReport;
  middle: RimReport;
  outerRim: RimReport;
  peakNm: number;
  /** Width of the ring of glass that the lap touches at all. */
  contactSpanMm: number;
  /** Width of the ring that holds 90 % of the volume, 5 % left on either side. */
  width90Mm: number;
  /** Times the stroke turns round: two a double stroke. */
  reversals: number;
  /** Most reversals under one lap's width of the ring, against the mean: 1 is even. */
  reversalCrowding: number;
  /** Mean radius of the volume. */
  centroidMm: number;
  /** Ellipse only: how far its sense moves that centroid from the mean of both senses, outward positive. */
  senseShiftMm: number;
  /** How far the face, fitted to the curve in one orientation, stands off in another, at most. */
  clockingMisfitNm: number;
}

/** One kind of thing that stays behind, with a sentence for people and a limit above which it warns. */
export interface Remainder {
  name: 'reversal crowding' | 'lap pattern' | 'ripple' | 'clocking misfit' | 'azimuth orders 1 to 4';
  value: number;
  unit: 'nm' | 'x mean';
  limit: number;
  warns: boolean;
  words: string;
}

export interface Prediction {
  radiusMm: number[];
  removalNm: number[];
  harmonics: { order: number; amplitudeNm: number[] }[];
  stints: StintForecast[];
  /** Shares of the volume inside the wanted zone, inward and outward of it; they add up to 1. */
  bandShare: { inside: number; inward: number; outward: number };
  /** The zone that bandShare speaks of. */
  zone: { fromMm: number; toMm: number };
  lapPatternNm: number;
  rippleNm: number;
  peakNm: number;
  /** Turns walked that the forecast is for. */
  turns: number;
  pressure: { contactAreaMm2: number; pressurePa: number; pressurePsi: number; loadN: number };
  /** Off the rim the pressure was taken as uniform, which no lap does. */
  notPhysical: boolean;
  remainders: Remainder[];
  warnings: string[];
}
