/** What a program leaves behind besides the depth it was meant to take. */
import type { PathStint } from '../path/types';
import type { Removal } from './removal';
import { turnsFreely } from './strokes';

/** Limits above which a remainder warns. Common practice, no source: what shows in a knife-edge test as a mark of its own. */
export const REMAINDER_LIMITS = {
  reversalCrowding: 1.5,
  lapPatternNm: 5,
  rippleNm: 5,
  clockingMisfitNm: 1000,
  azimuthOrdersNm: 5,
} as const;

/** Crowding of the places where the stroke turns round, its two ends counted apart: they do not lie on the same azimuth. */
export function reversalCrowding(removal: Removal, stint: number): number {
  const { path } = removal.task;
  const place = new Float64Array(4);
  let worst = 1;
  for (const end of [0, 0.5]) {
    const turns: number[] = [];
    let radiusMm = 0;
    for (const stroke of removal.strokes) {
      if (stroke.stint !== stint) continue;
      path.sample(stroke.from + end * (stroke.to - stroke.from), place);
      radiusMm = Math.max(radiusMm, Math.hypot(place[1]!, place[2]!));
      const azimuth = Math.atan2(place[2]!, place[1]!) / (2 * Math.PI) - place[0]!;
      turns.push(azimuth - Math.floor(azimuth));
    }
    if (radiusMm > removal.face.reachMm) {
      const window = Math.asin(removal.face.reachMm / radiusMm) / Math.PI;
      worst = Math.max(worst, crowding(turns, window));
    }
  }
  return worst;
}

/**
 * How crowded the densest place of a ring is, against the mean: places in turns (0..1) are counted under a window that falls
 * like a raised cosine to nothing at one `window` (a lap's width, in turns) on either side.
 */
export function crowding(places: readonly number[], window: number): number {
  if (places.length === 0) return 1;
  const bins = 720;
  const counts = new Float64Array(bins);
  for (const place of places) {
    const at = (place - Math.floor(place)) * bins;
    const bin = Math.floor(at) % bins;
    counts[bin]! += 1 - (at - Math.floor(at));
    counts[(bin + 1) % bins]! += at - Math.floor(at);
  }
  const reach = Math.min(bins / 2 - 1, Math.floor(window * bins));
  let weights = 0;
  const seen = new Float64Array(bins);
  for (let offset = -reach; offset <= reach; offset++) {
    const weight = 1 + Math.cos((Math.PI * offset) / (reach + 1));
    weights += weight;
    for (let bin = 0; bin < bins; bin++) seen[bin]! += weight * counts[(bin + offset + bins) % bins]!;
  }
  return Math.max(...seen) / ((weights * places.length) / bins);
}

/**
 * Misfit of a face on a conic when it is turned: it has the glass's curvature along the meridian where it had the one along
 * the ring. Half the lap's radius squared times the difference of the principal curvatures, (R^2 - K r^2)^(-1/2) and
 * R^2 (R^2 - K r^2)^(-3/2); for a paraboloid a^2 r^2/(2 R^3) to first order. Zero for a lap that keeps its angle to the
 * radius, i.e. is driven and never clocked.
 */
export function clockingMisfitNm(removal: Removal, stint: PathStint): number {
  const { clocking, settingMm } = stint.geared.stint;
  if (clocking.kind === 'none' && !turnsFreely(removal.task.lap, stint)) return 0;
  const { radiusOfCurvatureMm, conicConstant } = removal.task.glass;
  return misfitOnConicNm(removal.face.reachMm, settingMm, radiusOfCurvatureMm, conicConstant);
}

export function misfitOnConicNm(lapRadiusMm: number, radiusMm: number, curvatureMm: number, conic: number): number {
  const square = curvatureMm ** 2 - conic * radiusMm ** 2;
  return 1e6 * (lapRadiusMm ** 2 / 2) * Math.abs(conic) * (radiusMm ** 2 / square ** 1.5);
}

/**
 * Ripple of settings repeated at a spacing: the part of the profile with that period, taken by a difference that a slope and a
 * bend of the profile do not enter: [16 H(r) - 9 (H(r - s/2) + H(r + s/2)) + H(r - 3s/2) + H(r + 3s/2)]/32, which gives
 * back a ripple of period s at its amplitude. The largest between the first and the last setting, nm; 0 with fewer than three.
 */
export function rippleNm(stepMm: number, depthNm: Float64Array, settingsMm: readonly number[]): number {
  const settings = [...new Set(settingsMm)].sort((a, b) => a - b);
  const at = (radiusMm: number): number => {
    const place = Math.abs(radiusMm) / stepMm;
    const j = Math.floor(place);
    const here = depthNm[j] ?? 0;
    return here + (place - j) * ((depthNm[j + 1] ?? here) - here);
  };
  let worst = 0;
  for (let i = 1; i + 1 < settings.length; i++) {
    const spacing = (settings[i + 1]! - settings[i - 1]!) / 2;
    for (let r = settings[i]! - spacing / 2; r <= settings[i]! + spacing / 2; r += stepMm) {
      const near = at(r - spacing / 2) + at(r + spacing / 2);
      const far = at(r - 1.5 * spacing) + at(r + 1.5 * spacing);
      worst = Math.max(worst, Math.abs(16 * at(r) - 9 * near + far) / 32);
    }
  }
  return worst;
}
