/**
 * From knife-edge readings to the surface. The relation is nearly linear: a reading too long by d tilts the window by -d r / R^2.
 * Nearly is not enough for a fast glass, so the exact geometry is used and refined: what the fitted surface would read is
 * compared with what was read, and the difference put back into the steps. The corrections fall by the square of the aperture
 * ratio each time.
 */
import { type Conic, sagMm, slopeOf } from './conic';
import { type SourceKind, stepPerReading, windowRadiusMm, windowReadingMm, type ZoneWindow } from './knife-edge';
import type { StepPlace } from './smooth-curve';
import { type StepFit, StepFitter } from './step-fit';

export interface Readings {
  source: SourceKind;
  windows: readonly ZoneWindow[];
  /** One per window, mean over takes and diameters, mm along the axis; their common zero is arbitrary. */
  readingMm: Float64Array;
  /** Standard deviation of each of these means, mm. */
  sigmaMm: Float64Array;
}

/** What was observed, as height steps on the glass: the form in which two measurements may be subtracted. */
export interface ObservedStep extends StepPlace {
  stepNm: number;
  sigmaNm: number;
}

export interface FittedReadings {
  fit: StepFit;
  steps: ObservedStep[];
  /** Where the readings' zero lies, mm beyond the vertex centre of curvature. */
  zeroMm: number;
}

const REFINEMENTS = 8;
/** Refined until a round changes no window's step by more, nm; what is left then is a hundredth of it or less. */
const CLOSE_NM = 1e-3;
/** A place one aims at stands for its slope over this share of its window. */
const AIMED_SHARE = 0.2;

export function fitReadings(readings: Readings, conic: Conic, rimMm: number): FittedReadings {
  const { windows, source, readingMm, sigmaMm } = readings;
  const places = windows.map(placeOf);
  const gain = Float64Array.from(windows, (window, i) => {
    return stepPerReading(window, places[i]!.plusMm - places[i]!.minusMm, conic, source) * 1e6;
  });
  const sigmaNm = gain.map((value, i) => Math.abs(value) * sigmaMm[i]!);
  const fitter = new StepFitter(places, sigmaNm, conic, rimMm);
  const ideal = { sagMm: (r: number) => sagMm(conic, r), slope: (r: number) => slopeOf(conic, r) };
  const expected = windows.map((window) => windowReadingMm(ideal, window, conic, source));
  let zeroMm = readingMm.reduce((sum, reading, i) => sum + reading - expected[i]!, 0) / windows.length;
  let steps = gain.map((value, i) => value * (readingMm[i]! - zeroMm - expected[i]!));
  let fit = fitter.fit(steps);
  for (let round = 0; round < REFINEMENTS; round++) {
    zeroMm += zeroShiftMm(fit, conic, source);
    const surface = surfaceOf(fit, conic);
    const next = gain.map((value, i) => {
      const place = places[i]!;
      const own = fit.heightNm(place.plusMm) - fit.heightNm(place.minusMm);
      return own + value * (readingMm[i]! - zeroMm - windowReadingMm(surface, windows[i]!, conic, source));
    });
    const change = next.reduce((most, value, i) => Math.max(most, Math.abs(value - steps[i]!)), 0);
    steps = next;
    fit = fitter.fit(steps);
    if (change < CLOSE_NM) break;
  }
  return { fit, zeroMm, steps: places.map((place, i) => ({ ...place, stepNm: steps[i]!, sigmaNm: sigmaNm[i]! })) };
}

/** A curve through steps that were observed before or put together from several measurements. */
export function fitSteps(steps: readonly ObservedStep[], conic: Conic, rimMm: number): StepFit {
  const sigmaNm = Float64Array.from(steps, (step) => step.sigmaNm);
  return new StepFitter(steps, sigmaNm, conic, rimMm).fit(Float64Array.from(steps, (step) => step.stepNm));
}

function placeOf(window: ZoneWindow): StepPlace {
  if (window.atMm === null) return { plusMm: window.toMm, minusMm: window.fromMm };
  const half = (AIMED_SHARE * (window.toMm - window.fromMm)) / 2;
  return { plusMm: windowRadiusMm(window) + half, minusMm: windowRadiusMm(window) - half };
}

function surfaceOf(fit: StepFit, conic: Conic) {
  const vertexNm = fit.heightNm(0);
  return {
    sagMm: (r: number) => sagMm(conic, r) + (fit.heightNm(r) - vertexNm) * 1e-6,
    slope: (r: number) => slopeOf(conic, r) + fit.slopeNmPerMm(r) * 1e-6,
  };
}

/**
 * The readings' zero is chosen so that the conic under the zones has the nominal radius at its vertex. A common shift of all
 * readings is a change of focus to first order only; what is left depends on where the zero is put, about 0.4 nm for each
 * millimetre at 200 mm f/6.
 */
function zeroShiftMm(fit: StepFit, conic: Conic, source: SourceKind): number {
  return -2 * fit.focusNmPerMm2 * 1e-6 * conic.radiusMm ** 2 * (source === 'moving' ? 1 : 2);
}
