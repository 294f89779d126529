/** What a figure means, in sentences, the weightiest first. */
import { weightedFit } from './cholesky';
import type { ObservedStep } from './from-readings';
import type { Judging } from './judge';
import { windowRadiusMm } from './knife-edge';
import { peakToValleyNm, rmsNm } from './quality';
import { referenceLine } from './reference';
import { meanOfTakes, USUAL_REPEATABILITY_MM } from './takes';
import { turningPoints } from './turning-points';
import type { Astigmatism, Figure, Finding, KnifeEdgeMeasurement, Measurement } from './types';

type Unworded = Omit<Figure, 'findings'>;

/** Smaller than this nobody acts on, whatever the band says; nm on the glass. */
const LEAST_NM = 4;
/** The rim's own story is told of this outer part of the radius. */
const RIM_FROM = 0.88;
const RIM_JUDGED_FROM = 0.6;
/** From this likelihood on the mask is called too coarse; a zone three windows wide is about where that begins. */
const SHARP = 0.7;
/** Where the conic alone explains this share of the mean square, the rest is looked at for zones. */
const CONIC_EXPLAINS = 0.7;

export function findings(
  figure: Unworded,
  bestFitNm: Float64Array,
  judging: Judging,
  measurement: Measurement,
): Finding[] {
  const out: Finding[] = [];
  const left = correction(figure, bestFitNm, judging, out);
  zones(figure, left, judging, out);
  rim(figure, left, judging, out);
  if (figure.astigmatism) astigmatism(figure.astigmatism, figure, measurement, out);
  if (figure.otherAsymmetryRmsNm !== null && figure.otherAsymmetryRmsNm > LEAST_NM) {
    const words = `${nm(figure.otherAsymmetryRmsNm)} rms of the surface is neither round about the axis nor astigmatism. No stroke of whole turns mends it.`;
    out.push({ kind: 'asymmetry', words });
  }
  const part = bestFitNm.subarray(judging.first, judging.last + 1);
  const bandWide = median(figure.bandNm.slice(judging.first, judging.last + 1));
  if (out.length === 0) out.push(nothingFound(peakToValleyNm(part), bandWide, figure.wavelengthNm));
  notMeasured(figure, judging, out);
  if (measurement.kind === 'knife-edge') aboutReadings(measurement, figure, judging, bestFitNm, out);
  if (measurement.kind === 'profile' && !measurement.sigmaStated) {
    out.push({
      kind: 'noise',
      words: 'The profile states no uncertainty: its band shows only what its spacing leaves open.',
    });
  }
  if (measurement.kind === 'zernike') {
    out.push({
      kind: 'noise',
      words: 'A list of polynomials states no uncertainty: no band is shown, and what they cannot follow is not seen.',
    });
  }
  return out;
}

/** Says over- or under-corrected where it is; returns the surface whose zones are still to be told. */
function correction(figure: Unworded, bestFitNm: Float64Array, judging: Judging, out: Finding[]): Float64Array {
  const { conic, shape, rimMm, area, first, last } = judging;
  const change = figure.conicConstant - conic.conicConstant;
  const perUnit = (rimMm ** 4 / (8 * conic.radiusMm ** 3)) * 1e6;
  const heightNm = (Math.abs(change) * perUnit) / 4;
  if (heightNm < LEAST_NM || Math.abs(change) < 2 * figure.conicSigma) return bestFitNm;
  const scaled = shape.map((g) => g / rimMm ** 2);
  const columns = [scaled.map(() => 1), scaled, scaled.map((g) => g * g)];
  const fitted = weightedFit(columns, bestFitNm, area);
  const rest = bestFitNm.map((h, i) => h - fitted[0]! - fitted[1]! * scaled[i]! - fitted[2]! * scaled[i]! ** 2);
  const part = (values: Float64Array): Float64Array => values.subarray(first, last + 1);
  const explained = 1 - (rmsNm(part(rest), part(area)) / rmsNm(part(bestFitNm), part(area))) ** 2;
  if (explained < CONIC_EXPLAINS) return bestFitNm;
  const asked = conic.conicConstant;
  const known = figure.conicSigma > 0 ? `, known to ${fixed(1.96 * figure.conicSigma, 3)}` : '';
  const curve = `the curve is nearest to conic constant ${fixed(figure.conicConstant, 3)}${known}; ${fixed(asked, 3)} is wanted`;
  const share = asked < 0 ? ` (${fixed((100 * figure.conicConstant) / asked, 0)} % of the correction)` : '';
  const side =
    asked < 0 ? (change > 0 ? 'Under-corrected' : 'Over-corrected') : change > 0 ? 'Oblate' : 'Too deep at the middle';
  const where = change > 0 ? 'middle and rim stand high' : 'the zone at 70 % stands high';
  const words = `${side}: ${curve}${share}. Against the best fit ${where} by ${nm(heightNm)}.`;
  out.push({ kind: 'correction', words, heightNm });
  return rest;
}

function zones(figure: Unworded, left: Float64Array, judging: Judging, out: Finding[]): void {
  const { rimMm } = judging;
  // A broad raised ring and a low middle with a low rim are the same surface; the telling with fewer zones is the better one.
  const tellings = [prevailing(left, judging), overLowest(left, judging)].map((level) =>
    standingOut(figure, level, judging),
  );
  const found = tellings[1]!.length < tellings[0]!.length && tellings[1]!.length > 0 ? tellings[1]! : tellings[0]!;
  for (const { index, heightNm, radiusMm } of found) {
    const high = heightNm > 0;
    const middle = figure.glass.holeMm === 0 && radiusMm < 0.05 * rimMm;
    const place = middle ? 'The middle' : `The zone at ${radiusMm.toFixed(0)} mm`;
    const doubt = figure.bandNm[index]! > 0 ? ` (give or take ${nm(figure.bandNm[index]!)})` : '';
    const words = `${place} ${high ? 'stands' : 'lies'} ${nm(Math.abs(heightNm))} ${high ? 'high' : 'low'}${doubt}.`;
    out.push({ kind: high ? 'raised zone' : 'low zone', words, radiusMm, heightNm });
  }
}

/** Tops above and bottoms below the level that the band does not explain, the largest first. */
function standingOut(figure: Unworded, level: Float64Array, { first, last, rimMm }: Judging) {
  const typical = median(figure.bandNm.slice(first, last + 1));
  const least = Math.max(LEAST_NM, typical);
  return turningPoints(level, first, last, least)
    .map((index) => ({ index, heightNm: level[index]!, radiusMm: figure.radiusMm[index]! }))
    .filter(({ index, heightNm }) => isExtreme(level, index, first, last) * heightNm > 0)
    .filter(({ index, heightNm }) => Math.abs(heightNm) > Math.max(least, 1.2 * figure.bandNm[index]!))
    .filter(({ index, radiusMm }) => index !== last || radiusMm < RIM_FROM * rimMm)
    .sort((a, b) => Math.abs(b.heightNm) - Math.abs(a.heightNm));
}

/** +1 for a top, -1 for a bottom, among its neighbours. */
function isExtreme(heightNm: Float64Array, index: number, first: number, last: number): 1 | -1 {
  const neighbour = heightNm[index === last ? index - 1 : index + 1]!;
  const other = heightNm[index === first ? index + 1 : index - 1]!;
  return heightNm[index]! >= Math.max(neighbour, other) ? 1 : -1;
}

/**
 * Heights over the curve that most of the area lies on: least sum of absolute departures, found by reweighting. The least-squares
 * fit leaves shallow dips beside every raised ring; this one leaves what is level at nought.
 */
function prevailing(heightNm: Float64Array, { shape, area, rimMm }: Judging): Float64Array {
  const columns = [shape.map(() => 1), shape.map((g) => g / rimMm ** 2)];
  let weights = area;
  let left = heightNm;
  for (let round = 0; round < 30; round++) {
    const [piston, focus] = weightedFit(columns, heightNm, weights) as unknown as [number, number];
    left = heightNm.map((h, i) => h - piston - focus * columns[1]![i]!);
    weights = area.map((share, i) => share / Math.max(0.5, Math.abs(left[i]!)));
  }
  return left;
}

/** Heights over the highest curve that lies under the whole surface. */
function overLowest(heightNm: Float64Array, { shape, area, first, last }: Judging): Float64Array {
  const part = (values: Float64Array): Float64Array => values.subarray(first, last + 1);
  const { pistonNm, focus } = referenceLine('highest under', part(shape), part(heightNm), part(area));
  return heightNm.map((h, i) => h - pistonNm - focus * shape[i]!);
}

/** The rim against where the zone inside it would lead. */
function rim(figure: Unworded, left: Float64Array, judging: Judging, out: Finding[]): void {
  const { last, area, shape, rimMm } = judging;
  const edgeMm = figure.radiusMm[last]!;
  if (edgeMm < RIM_FROM * rimMm) return;
  const inside = area.map((share, i) => {
    const r = figure.radiusMm[i]!;
    return r >= RIM_JUDGED_FROM * edgeMm && r <= RIM_FROM * edgeMm ? share : 0;
  });
  const [piston, focus] = weightedFit([shape.map(() => 1), shape], left, inside) as unknown as [number, number];
  const departure = (i: number): number => left[i]! - piston - focus * shape[i]!;
  const heightNm = departure(last);
  let most = 0;
  for (let i = 0; i <= last; i++) if (inside[i]! > 0) most = Math.max(most, Math.abs(departure(i)));
  const doubt = 1.2 * figure.bandNm[last]!;
  if (Math.abs(heightNm) < Math.max(2 * LEAST_NM, doubt) || Math.abs(heightNm) < 3 * most) return;
  const widthMm = edgeMm * (1 - RIM_FROM);
  const words =
    heightNm < 0
      ? `The edge is turned down: the last ${widthMm.toFixed(0)} mm fall by ${nm(-heightNm)} (give or take ${nm(figure.bandNm[last]!)}).`
      : `The edge stands up: the last ${widthMm.toFixed(0)} mm rise by ${nm(heightNm)} (give or take ${nm(figure.bandNm[last]!)}).`;
  out.push({ kind: 'edge', words, radiusMm: edgeMm, heightNm });
}

function astigmatism(found: Astigmatism, figure: Unworded, measurement: Measurement, out: Finding[]): void {
  if (found.surfacePvNm < Math.max(LEAST_NM, 2 * found.sigmaNm)) return;
  const waves = (2 * found.surfacePvNm) / figure.wavelengthNm;
  const along = found.highAlongDeg.toFixed(0);
  const stand = measurement.markOnStandDeg;
  const onStand =
    stand === null ? '' : `; on the stand that is ${((((found.highAlongDeg + stand) % 180) + 180) % 180) | 0} degrees`;
  const tester = found.testerApart ? '' : ' It may belong to the tester: turn the glass on it and read again.';
  const words =
    `Astigmatism: ${nm(found.surfacePvNm)} from the high to the low diameter (${waves.toFixed(2)} wave of the wavefront), high along ` +
    `${along} degrees from the mark${onStand}. Strokes of whole turns cannot mend it; look at the support first.${tester}`;
  out.push({ kind: 'astigmatism', words, heightNm: found.surfacePvNm });
}

function nothingFound(pvNm: number, bandNm: number, wavelengthNm: number): Finding {
  const share = `${nm(pvNm)} from high to low, a wavefront of ${((2 * pvNm) / wavelengthNm).toFixed(2)} wave`;
  const words =
    pvNm > LEAST_NM && pvNm < bandNm
      ? `No zone stands out of what the readings leave open (about ${nm(bandNm)}): ${share}.`
      : `No zone stands out: ${share}.`;
  return { kind: 'good', words };
}

function notMeasured(figure: Unworded, judging: Judging, out: Finding[]): void {
  const { rimMm } = judging;
  const { from, to } = figure.measuredMm;
  const inner = figure.glass.holeMm / 2;
  if (to < rimMm - 0.005 * rimMm) {
    const words = `What lies outside ${to.toFixed(0)} mm is not measured: the last ${(rimMm - to).toFixed(0)} mm of the clear aperture are a guess.`;
    out.push({ kind: 'not measured', words, radiusMm: to });
  }
  if (from > inner + 0.15 * rimMm) {
    const words = `What lies inside ${from.toFixed(0)} mm is not measured.`;
    out.push({ kind: 'not measured', words, radiusMm: from });
  }
}

/** What readings can and cannot show. */
function aboutReadings(
  measurement: KnifeEdgeMeasurement,
  figure: Unworded,
  judging: Judging,
  bestFitNm: Float64Array,
  out: Finding[],
): void {
  const means = meanOfTakes(measurement);
  if (means.repeatabilityFrom === 'assumed') {
    const words = `How well a reading repeats is not known; ${USUAL_REPEATABILITY_MM} mm at 70 % of the radius was assumed. Read each zone three times to know.`;
    out.push({ kind: 'noise', words });
  }
  const widest = measurement.windows.reduce((a, b) => (b.toMm - b.fromMm > a.toMm - a.fromMm ? b : a));
  const widthMm = widest.toMm - widest.fromMm;
  const words = `A defect narrower than one window (${widthMm.toFixed(0)} mm at ${windowRadiusMm(widest).toFixed(0)} mm) is seen in part or not at all; look for an unevenly lit window.`;
  out.push({ kind: 'too coarse', words });
  const rough = roughness(figure);
  if (rough) out.push(rough);
  const backwards = directionDoubt(figure, judging, bestFitNm);
  if (backwards) out.push(backwards);
}

/** The surface may vary faster than the mask can follow: says where the readings bend most. */
function roughness({ sharpness, steps }: Unworded): Finding | null {
  if (sharpness === null || steps === null || sharpness < SHARP) return null;
  const slope = ({ stepNm, plusMm, minusMm }: ObservedStep): number => stepNm / (plusMm ** 2 - minusMm ** 2);
  let worst = 0;
  let at = 0;
  for (let i = 1; i < steps.length - 1; i++) {
    const { plusMm, minusMm } = steps[i]!;
    const bend =
      Math.abs(slope(steps[i]!) - (slope(steps[i - 1]!) + slope(steps[i + 1]!)) / 2) * (plusMm ** 2 - minusMm ** 2);
    if (bend > worst) {
      worst = bend;
      at = i;
    }
  }
  const { minusMm, plusMm } = steps[at]!;
  const words =
    `From window to window the readings change as fast as this mask can follow, most between ${minusMm.toFixed(0)} and ` +
    `${plusMm.toFixed(0)} mm: something there may be narrower than it looks. A finer mask would tell.`;
  return { kind: 'too coarse', words, radiusMm: (minusMm + plusMm) / 2 };
}

/** Readings counted towards the glass turn the correction over; what comes out then is absurd, the opposite is not. */
function directionDoubt(figure: Unworded, judging: Judging, bestFitNm: Float64Array): Finding | null {
  const { conic, first, last } = judging;
  if (Math.abs(conic.conicConstant) < 0.3) return null;
  const wrong = Math.abs(figure.conicConstant / conic.conicConstant + 1) < 0.5;
  if (!wrong || peakToValleyNm(bestFitNm.subarray(first, last + 1)) < 20) return null;
  const words =
    'The readings fall towards the rim where they should grow: they may have been counted towards the glass. Count them away from it, or change their signs.';
  return { kind: 'direction', words };
}

function nm(value: number): string {
  return `${value < 9.95 ? value.toFixed(1) : value.toFixed(0)} nm`;
}

function fixed(value: number, digits: number): string {
  return String(Number(value.toFixed(digits)) + 0);
}

function median(values: readonly number[]): number {
  return [...values].sort((a, b) => a - b)[values.length >> 1] ?? 0;
}
