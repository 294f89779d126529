/** Reduction: a measurement in, the figure of the glass out. */
import { knownOf } from './band';
import { type Expectation, together } from './carry-on';
import { askedConic, type Conic, focusShapeMm2 } from './conic';
import { findings } from './findings';
import { fitReadings, fitSteps, type ObservedStep } from './from-readings';
import { asymmetryOf } from './from-zernike';
import { gridOf } from './grid';
import { judge, judgingOf } from './judge';
import type { ReferenceKind } from './reference';
import { type Curve, splineThrough } from './spline';
import { astigmatismOf, meanOfTakes } from './takes';
import type { Figure, KnifeEdgeMeasurement, Measurement, ProfileMeasurement, ZernikeMeasurement } from './types';
import { radialValue, rmsFactor } from './zernike';

/** Half width of a 95 % band in standard deviations of a normal distribution. */
const BAND = 1.959964;

/** A surface on the grid, before a reference is taken off. */
interface Raw extends Pick<Figure, 'astigmatism' | 'otherAsymmetryRmsNm' | 'steps' | 'sharpness'> {
  heightNm: Float64Array;
  slopeNmPerMm: Float64Array;
  bandNm: Float64Array;
  conicSigma: number;
  /** Focus at the vertex, nm per unit of the focus shape; 0 where heights over the nominal conic were given. */
  vertexFocus: number;
}

/**
 * Reduces any measurement that was read without complaint. Heights in nm against a reference of the asked conic; radii in mm.
 * Pure and deterministic; takes a few milliseconds.
 *
 * @param expected what an earlier measurement through the same mask leads to expect (`carryOn`); knife-edge readings only
 */
export function reduce(
  measurement: Measurement,
  reference: ReferenceKind = 'best fit',
  expected: Expectation | null = null,
): Figure {
  const { glass, wavelengthNm, virtual } = measurement;
  const rimMm = glass.clearApertureMm / 2;
  const conic = askedConic(glass);
  const measuredMm = measuredPart(measurement);
  const judging = judgingOf(gridOf(glass), conic, rimMm, measuredMm);
  const raw = rawSurface(measurement, judging, expected);
  const judged = judge(judging, raw.heightNm, raw.slopeNmPerMm, reference, wavelengthNm, raw.vertexFocus);
  const { bestFitNm, ...rest } = judged;
  const figure: Omit<Figure, 'findings'> = {
    kind: measurement.kind,
    glass,
    wavelengthNm,
    virtual,
    ...rest,
    bandNm: Array.from(raw.bandNm),
    measuredMm,
    conicSigma: raw.conicSigma,
    astigmatism: raw.astigmatism,
    otherAsymmetryRmsNm: raw.otherAsymmetryRmsNm,
    steps: raw.steps,
    sharpness: raw.sharpness,
  };
  return { ...figure, findings: findings(figure, bestFitNm, judging, measurement) };
}

/** Innermost and outermost measured radius, inside the clear aperture. */
function measuredPart(measurement: Measurement): { from: number; to: number } {
  const { glass } = measurement;
  const inner = glass.holeMm / 2;
  const rim = glass.clearApertureMm / 2;
  if (measurement.kind === 'zernike') return { from: inner, to: Math.min(rim, measurement.diameterMm / 2) };
  const [first, last] =
    measurement.kind === 'profile'
      ? [measurement.points[0]!.radiusMm, measurement.points[measurement.points.length - 1]!.radiusMm]
      : [measurement.windows[0]!.fromMm, measurement.windows[measurement.windows.length - 1]!.toMm];
  return { from: Math.max(inner, first), to: Math.min(rim, last) };
}

type Judging = ReturnType<typeof judgingOf>;

function rawSurface(measurement: Measurement, judging: Judging, expected: Expectation | null): Raw {
  if (measurement.kind === 'knife-edge') return fromReadings(measurement, judging, expected);
  return measurement.kind === 'profile' ? fromProfile(measurement, judging) : fromZernike(measurement, judging);
}

function fromReadings(measurement: KnifeEdgeMeasurement, judging: Judging, expected: Expectation | null): Raw {
  const { conic, rimMm, radiusMm, bestFit, conicChange } = judging;
  const means = meanOfTakes(measurement);
  const { windows, source } = measurement;
  const { readingMm, sigmaMm } = means;
  const read = fitReadings({ windows, source, readingMm, sigmaMm }, conic, rimMm);
  const joined = expected && together(read.steps, expected.steps, conic);
  const steps = joined ?? read.steps;
  // With an expectation only what departs from it is smooth and unknown: its own detail, finer than the mask, is kept.
  const base = joined && expected ? expected.curve : LEVEL;
  const fit = joined ? fitSteps(beyond(joined, base), conic, rimMm) : read.fit;
  const known = knownOf(fit, conic, rimMm, radiusMm, [radiusMm.map(() => 1), judging.shape], [...bestFit, conicChange]);
  return {
    heightNm: radiusMm.map((r) => base.value(r) + fit.heightNm(r)),
    slopeNmPerMm: radiusMm.map((r) => base.slope(r) + fit.slopeNmPerMm(r)),
    bandNm: known.sigmaNm.map((sigma) => BAND * sigma),
    conicSigma: known.measureSigma[2]!,
    vertexFocus: focusAtVertex((r) => base.value(r) + fit.heightNm(r), conic, rimMm),
    astigmatism: astigmatismOf(measurement, means),
    otherAsymmetryRmsNm: null,
    steps,
    sharpness: fit.sharpness,
  };
}

const LEVEL: Curve = { value: () => 0, slope: () => 0 };

function beyond(steps: readonly ObservedStep[], base: Curve): ObservedStep[] {
  return steps.map((step) => ({
    ...step,
    stepNm: step.stepNm - (base.value(step.plusMm) - base.value(step.minusMm)),
  }));
}

function focusAtVertex(heightNm: (r: number) => number, conic: Conic, rimMm: number): number {
  const focusAt = (r: number): number => (heightNm(r) - heightNm(0)) / focusShapeMm2(conic, r);
  const near = 0.02 * rimMm;
  // Even function: what varies with the square of the radius is extrapolated away.
  return (4 * focusAt(near / 2) - focusAt(near)) / 3;
}

/** How much of the change that leaving out every other point makes is taken as the doubt from sampling. */
const HALVING_SHARE = 0.25;

function fromProfile({ points }: ProfileMeasurement, judging: Judging): Raw {
  const { radiusMm, conicChange } = judging;
  const curveOf = (some: readonly { radiusMm: number; heightNm: number }[]) => {
    return splineThrough(
      some.map((point) => point.radiusMm),
      some.map((point) => point.heightNm),
    );
  };
  const curve = curveOf(points);
  const coarse = curveOf(points.filter((_, i) => i % 2 === 0 || i === points.length - 1));
  const sigma = splineThrough(
    points.map((point) => point.radiusMm),
    points.map((point) => point.sigmaNm),
  );
  const sigmaAt = (r: number): number => Math.max(0, sigma.value(r));
  return {
    heightNm: radiusMm.map((r) => curve.value(r)),
    slopeNmPerMm: radiusMm.map((r) => curve.slope(r)),
    bandNm: radiusMm.map((r) => Math.hypot(BAND * sigmaAt(r), HALVING_SHARE * (curve.value(r) - coarse.value(r)))),
    conicSigma: Math.sqrt(
      points.length ? conicChange.reduce((sum, w, i) => sum + (w * sigmaAt(radiusMm[i]!)) ** 2, 0) : 0,
    ),
    vertexFocus: 0,
    astigmatism: null,
    otherAsymmetryRmsNm: null,
    steps: null,
    sharpness: null,
  };
}

function fromZernike(measurement: ZernikeMeasurement, judging: Judging): Raw {
  const { radiusMm } = judging;
  const round = measurement.terms.filter((term) => term.m === 0);
  const height = (r: number): number => {
    const rho = (2 * r) / measurement.diameterMm;
    return round.reduce((sum, term) => sum + term.coefficientNm * rmsFactor(term) * radialValue(term, rho), 0);
  };
  const h = 1e-4 * judging.rimMm;
  return {
    heightNm: radiusMm.map(height),
    slopeNmPerMm: radiusMm.map((r) => (height(r + h) - height(r - h)) / (2 * h)),
    bandNm: new Float64Array(radiusMm.length),
    conicSigma: 0,
    vertexFocus: 0,
    ...asymmetryOf(measurement),
    steps: null,
    sharpness: null,
  };
}
