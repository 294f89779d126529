/** What a figure means, in sentences, the weightiest first. */
import { weightedFit } from './cholesky';
import { aboutReadings } from './findings-readings';
import { zonesAndRim } from './findings-zones';
import type { Judging } from './judge';
import { peakToValleyNm, rmsNm } from './quality';
import type { Astigmatism, Finding, Measurement } from './types';
import { fixed, LEAST_NM, median, nm, type Unworded } from './words';

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
  zonesAndRim(figure, left, judging, out);
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

/** Noise alone makes some astigmatism of any round glass: above three deviations in one case of a hundred (Rayleigh). */
const ASTIGMATIC = 3;

function astigmatism(found: Astigmatism, figure: Unworded, measurement: Measurement, out: Finding[]): void {
  if (found.surfacePvNm < Math.max(LEAST_NM, ASTIGMATIC * found.sigmaNm)) return;
  const waves = (2 * found.surfacePvNm) / figure.wavelengthNm;
  const along = found.highAlongDeg.toFixed(0);
  const stand = measurement.markOnStandDeg;
  const turned = stand === null ? 0 : ((Math.round(found.highAlongDeg + stand) % 180) + 180) % 180;
  const onStand = stand === null ? '' : `; on the stand that is ${turned} degrees`;
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
