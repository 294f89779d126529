/** Findings about the readings themselves: noise, mask, direction. */
import type { ObservedStep } from './from-readings';
import type { Judging } from './judge';
import { windowRadiusMm } from './knife-edge';
import { peakToValleyNm } from './quality';
import { meanOfTakes, USUAL_REPEATABILITY_MM } from './takes';
import type { Finding, KnifeEdgeMeasurement } from './types';
import type { Unworded } from './words';

/** From this likelihood on the mask is called too coarse; a zone three windows wide is about where that begins. */
const SHARP = 0.7;

/** What readings can and cannot show. */
export function aboutReadings(
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
