/** Measurements after reading their files, and the figure that comes out of reducing one. */
import type { Glass } from '../shelf/types';
import type { ObservedStep } from './from-readings';
import type { SourceKind, ZoneWindow } from './knife-edge';
import type { ReferenceKind } from './reference';
import type { Term } from './zernike';

interface Measured {
  file: string;
  glass: Glass;
  wavelengthNm: number;
  /** Read from a virtual glass. */
  virtual: boolean;
  /** Angle of the glass's own mark on the turntable while it was worked, degrees anticlockwise seen from above; null: not noted. */
  markOnStandDeg: number | null;
}

/** One pass over all windows of the mask. */
export interface Take {
  /** Direction of the line of windows, degrees anticlockwise from the glass's mark, seen from the front. */
  diameterDeg: number;
  /** Where the glass's mark stood on the tester, degrees anticlockwise from the right. */
  markOnTesterDeg: number;
  /** One per window, mm; they grow away from the glass; the zero is arbitrary but the same for all takes. */
  readingMm: readonly number[];
  /** When it was taken, minutes on any clock; null: not noted. */
  atMinutes: number | null;
}

export interface KnifeEdgeMeasurement extends Measured {
  kind: 'knife-edge';
  source: SourceKind;
  windows: readonly ZoneWindow[];
  takes: readonly Take[];
  /** Standard deviation of one reading at 70 % of the radius, mm, where the person knows it. */
  repeatabilityMm: number | null;
  /** What was noted about how the glass rested; null: not noted. */
  rest: { hoursSinceWork: number | null; glassC: number | null; roomC: number | null };
}

export interface ProfileMeasurement extends Measured {
  kind: 'profile';
  /** Ascending radii; height of the glass above the asked conic, nm; deviation of each, 0 where not stated. */
  points: readonly { radiusMm: number; heightNm: number; sigmaNm: number }[];
  sigmaStated: boolean;
}

export interface ZernikeMeasurement extends Measured {
  kind: 'zernike';
  /** Diameter of the unit circle. */
  diameterMm: number;
  /** Height of the glass above the asked conic, nm, for polynomials of unit mean square; angle 0 at the glass's mark. */
  terms: readonly (Term & { coefficientNm: number })[];
}

export type Measurement = KnifeEdgeMeasurement | ProfileMeasurement | ZernikeMeasurement;

/** What repeats around the axis at twice per turn. */
export interface Astigmatism {
  /** Highest minus lowest at the rim of the clear aperture, nm on the glass. */
  surfacePvNm: number;
  sigmaNm: number;
  /** Direction of the high diameter from the glass's mark, 0 <= degrees < 180. */
  highAlongDeg: number;
  /** Whether what the tester itself adds was told apart from the glass. */
  testerApart: boolean;
}

export type FindingKind =
  | 'good'
  | 'correction'
  | 'raised zone'
  | 'low zone'
  | 'edge'
  | 'astigmatism'
  | 'asymmetry'
  | 'not measured'
  | 'too coarse'
  | 'noise'
  | 'direction';

export interface Finding {
  kind: FindingKind;
  /** A sentence for the person. */
  words: string;
  radiusMm?: number;
  /** Signed: negative for low. */
  heightNm?: number;
  /** The curve that the height is counted from, where it is a zone's. */
  over?: ReferenceKind;
}

export interface Figure {
  kind: Measurement['kind'];
  glass: Glass;
  wavelengthNm: number;
  /** Read from a virtual glass: nothing of it holds for a real one. */
  virtual: boolean;
  /** Evenly from the axis, or the rim of the hole, to the rim of the clear aperture. */
  radiusMm: number[];
  /** Height above the reference, nm; positive is glass too high. */
  surfaceNm: number[];
  /** Half width of the 95 % band of the surface against its best fit, nm. */
  bandNm: number[];
  /** Share of the area each radius stands for; 0 outside the measured part. */
  area: number[];
  /** What the figures of merit speak of: from the innermost to the outermost measured radius. */
  measuredMm: { from: number; to: number };
  reference: ReferenceKind;
  /** Highest minus lowest, and rms about the mean, of `surfaceNm` over the measured part. */
  pvNm: number;
  rmsNm: number;
  /** The same against the best fit, whatever the reference: what a suggestion counts. */
  bestFit: { pvNm: number; rmsNm: number };
  /** Twice pvNm over the wavelength. */
  wavefrontPvWaves: number;
  /** At best focus, of the axially symmetric part. */
  strehl: number;
  /** Signed, in radii of the Airy disc, at best focus. */
  transverseRelative: number[];
  /** Conic constant that fits the surface best. */
  conicConstant: number;
  conicSigma: number;
  astigmatism: Astigmatism | null;
  /** rms of everything that is neither axially symmetric nor order 2, where measured. */
  otherAsymmetryRmsNm: number | null;
  /** Knife-edge only: what was observed, for learning from two measurements. */
  steps: ObservedStep[] | null;
  /** Knife-edge only, 0..1: how likely the surface varies as fast as the mask can follow, or faster. */
  sharpness: number | null;
  findings: Finding[];
}
