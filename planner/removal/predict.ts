/** The forecast of a program: everything a person sees before a stroke is made. */
import type { Plan } from '../path/plan';
import type { Program } from '../program/types';
import type { PressureLaw } from './contact';
import { loadN, meanPressure } from './face';
import { amplitudeNm, type Orders, type RemovalMap, removalOrders, ringMeansNm } from './map';
import { lapPattern, peakToValleyNm } from './pattern';
import { radiiMm } from './profile';
import { depthAtNm, peakIndex, volume } from './profile-measures';
import { remaindersOf } from './remainder-words';
import { rippleNm } from './remainders';
import { prepareRemoval, profileNm, type Removal } from './removal';
import { OtherSense, type Standing, stintForecast } from './stint-forecast';
import type { Prediction, StintForecast } from './types';

export interface PredictOptions {
  /** Preston's coefficient, 1/Pa. */
  kPerPa: number;
  /** The zone that was to be worked; the lap's own width about all settings if absent. */
  zone?: { fromMm: number; toMm: number };
  /** The forecast if the run is stopped after so many turns walked; the whole program if absent. */
  untilTurns?: number;
  pressureLaw?: PressureLaw;
  /** Where the person stands, for left and right; at the start of the stroke if absent. */
  standing?: Standing;
}

/** Cells round the glass, one degree each. */
export const AZIMUTHS = 360;
const HIGHEST_ORDER = 8;

/**
 * @param plan only its path is used
 * @throws RemovalRefused when the work cannot be forecast; nothing is half computed
 */
export function predict(program: Program, plan: Pick<Plan, 'path'>, options: PredictOptions): Prediction {
  const removal = removalOf(program, plan, options);
  return predictionOf(removal, lapPattern(removal, AZIMUTHS), options);
}

/** Prepares what a forecast of the program needs. */
export function removalOf(program: Program, plan: Pick<Plan, 'path'>, options: PredictOptions): Removal {
  const { kPerPa, untilTurns, pressureLaw } = options;
  return prepareRemoval({
    path: plan.path,
    lap: program.lap,
    glass: program.glass,
    kPerPa,
    ...(untilTurns !== undefined && { untilTurns }),
    ...(pressureLaw !== undefined && { pressureLaw }),
  });
}

export function predictionOf(
  removal: Removal,
  pattern: RemovalMap | null,
  { zone: wantedZone, standing = 'start of the stroke' }: Pick<PredictOptions, 'zone' | 'standing'>,
): Prediction {
  const { rings, task, strokes } = removal;
  const smooth = profileNm(removal);
  const removalNm = pattern ? withRings(smooth, rings.stepMm, pattern) : smooth;
  const orders = removalOrders(removal, AZIMUTHS, HIGHEST_ORDER);
  const walked = [...new Set(strokes.map((stroke) => stroke.stint))];
  const otherSense = new OtherSense(removal);
  const stints = walked.map((index) => stintForecast(removal, index, standing, otherSense));
  const zone = wantedZone ?? settingsZone(stints, removal.face.reachMm);
  const profile = { stepMm: rings.stepMm, depthNm: removalNm };
  const whole = volume(profile);
  const share = (from: number, to: number): number => (whole > 0 ? volume(profile, from, to) / whole : 0);
  const lapPatternNm = peakToValleyNm(pattern);
  const ripple = rippleNm(
    rings.stepMm,
    smooth,
    stints.map((stint) => stint.middle.radiusMm),
  );
  const remainders = remaindersOf(stints, lapPatternNm, ripple, largestOrder(orders, 4));
  const notPhysical = task.pressureLaw !== undefined && task.pressureLaw !== 'balanced';
  return {
    radiusMm: [...radiiMm(rings)],
    removalNm: [...removalNm],
    harmonics: Array.from({ length: HIGHEST_ORDER }, (_, i) => ({
      order: i + 1,
      amplitudeNm: [...amplitudeNm(orders, i + 1)],
    })),
    stints,
    bandShare: {
      inside: share(zone.fromMm, zone.toMm),
      inward: share(0, zone.fromMm),
      outward: share(zone.toMm, Number.POSITIVE_INFINITY),
    },
    zone,
    lapPatternNm,
    rippleNm: ripple,
    peakNm: removalNm[peakIndex(profile)]!,
    turns: strokes.length > 0 ? strokes[strokes.length - 1]!.to : 0,
    pressure: { ...meanPressure(task.lap), loadN: loadN(task.lap) },
    notPhysical,
    remainders,
    warnings: [
      ...(notPhysical
        ? ['Pressure off the rim is taken as uniform, which is not physical: the rim is worn more than this.']
        : []),
      ...remainders.filter((remainder) => remainder.warns).map((remainder) => remainder.words),
    ],
  };
}

/** The mean profile with the rings that the lap pattern leaves in it. */
function withRings(depthNm: Float64Array, stepMm: number, pattern: RemovalMap): Float64Array {
  const means = { stepMm: pattern.rings.stepMm, depthNm: ringMeansNm(pattern) };
  return depthNm.map((depth, j) => depth + depthAtNm(means, j * stepMm));
}

function settingsZone(stints: readonly StintForecast[], reachMm: number): { fromMm: number; toMm: number } {
  if (stints.length === 0) return { fromMm: 0, toMm: 0 };
  const settings = stints.map((stint) => stint.middle.radiusMm);
  return { fromMm: Math.max(0, Math.min(...settings) - reachMm), toMm: Math.max(...settings) + reachMm };
}

function largestOrder(orders: Orders, highest: number): number {
  let worst = 0;
  for (let m = 1; m <= highest; m++) for (const amplitude of amplitudeNm(orders, m)) worst = Math.max(worst, amplitude);
  return worst;
}
