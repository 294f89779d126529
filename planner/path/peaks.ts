/** What a piece of path asks of the axes when it is walked at a steady speed. */
import type { AxisName, Stand } from '../stand/types';
import { type Path, PLACE_SIZE } from './types';

/** Axes in the order of PLACE. */
export const PLACE_AXES = ['turntable', 'stroke', 'radial', 'lapTurn'] as const satisfies readonly AxisName[];

/** Largest demands on one axis, units (mm or turn) and seconds, and the turns walked where each was found. */
export interface AxisPeak {
  /** What the axis can do. */
  mostAcceleration: number;
  speed: number;
  speedAt: number;
  acceleration: number;
  accelerationAt: number;
  /** The share of the speed at which every acceleration would be within the axis's own; 1 where it is. */
  accelerationShare: number;
  min: number;
  minAt: number;
  max: number;
  maxAt: number;
}

export function emptyPeaks(stand: Stand): AxisPeak[] {
  return PLACE_AXES.map((name) => ({
    mostAcceleration: stand.axes[name].maxAcceleration,
    speed: 0,
    speedAt: 0,
    acceleration: 0,
    accelerationAt: 0,
    accelerationShare: 1,
    min: Number.POSITIVE_INFINITY,
    minAt: 0,
    max: Number.NEGATIVE_INFINITY,
    maxAt: 0,
  }));
}

/** Steepest slope of the chip's easing ramp 3x^2 - 2x^3, at x = 1/2 (controller's SPEC, section 2). */
const EASING_MAX_SLOPE = 1.5;

/** Largest rate at which the chip's own easing changes its pace, 1/s. */
export function maxPaceRate(stand: Stand): number {
  return EASING_MAX_SLOPE / stand.rampSeconds;
}

/** Places looked at in one stroke. Between them a sinusoid's peak can hide 0.01 % of its height, one of twice its rate 0.04 %. */
export const STEPS_PER_STROKE = 240;

/**
 * Takes the demands at one place of the path into `peaks`.
 *
 * Under the chip's pace p an axis with speed v and acceleration a (per second, at full pace) has the acceleration p^2 a + p' v; with p'
 * at its largest the bound is |a| + |v| paceRate. Where the planned speed u' itself changes, |v_path| |u''| comes on top.
 *
 * @param speed u', turns per second
 * @param speedRate |u''|, turns per second squared
 * @param paceRate see `maxPaceRate`
 */
export function takePeak(
  path: Path,
  u: number,
  speed: number,
  speedRate: number,
  paceRate: number,
  peaks: readonly AxisPeak[],
): void {
  path.sample(u, place);
  path.derivatives(u, motion);
  for (let axis = 0; axis < PLACE_SIZE; axis++) {
    const peak = peaks[axis] as AxisPeak;
    const position = place[axis] as number;
    const slope = Math.abs(motion[axis] as number);
    const v = slope * speed;
    const bend = Math.abs(motion[PLACE_SIZE + axis] as number) * speed * speed;
    const ramp = slope * speedRate + v * paceRate;
    const a = bend + ramp;
    if (v > peak.speed) [peak.speed, peak.speedAt] = [v, u];
    if (a > peak.acceleration) [peak.acceleration, peak.accelerationAt] = [a, u];
    if (a > peak.mostAcceleration) {
      peak.accelerationShare = Math.min(peak.accelerationShare, shareFor(bend, ramp, peak.mostAcceleration));
    }
    if (position < peak.min) [peak.min, peak.minAt] = [position, u];
    if (position > peak.max) [peak.max, peak.maxAt] = [position, u];
  }
}

/**
 * The share f of the speed that makes an acceleration `most`: its part from the path goes with f^2, what ramps and easing add with f, so
 * f^2 bend + f ramp = most (the root in the form that stays exact as bend goes to 0).
 */
function shareFor(bend: number, ramp: number, most: number): number {
  return (2 * most) / (ramp + Math.sqrt(ramp * ramp + 4 * bend * most));
}

/** Takes the demands of a piece of path walked at a steady speed. The end of the piece counts to it, not to what follows. */
export function takePeaks(
  path: Path,
  from: number,
  to: number,
  steps: number,
  speed: number,
  paceRate: number,
  peaks: readonly AxisPeak[],
): void {
  for (let i = 0; i < steps; i++) takePeak(path, from + ((to - from) * i) / steps, speed, 0, paceRate, peaks);
  takePeak(path, to - (to - from) * 1e-9, speed, 0, paceRate, peaks);
}

const place = new Float64Array(PLACE_SIZE);
const motion = new Float64Array(2 * PLACE_SIZE);
