/**
 * The stand as the planner sees it: which axes there are, what they can do, how many steps a unit takes.
 *
 * Frame (the same on paper, on the screen and in the code): the turntable turns about the origin; the lap works on the +y side, y
 * growing outward, and strokes along x, the tangent. Angles count anticlockwise seen from above. Lengths in mm, angles in turns of
 * the thing that turns.
 */

import type { Accessories } from './accessories';
import type { BoardName, OwnPins } from './pins';

/** The five places of a segment, in wire order. The fifth is left for builders; the demo stand has no motor there. */
export const AXES = ['turntable', 'stroke', 'radial', 'lapTurn', 'spare'] as const;
export type AxisName = (typeof AXES)[number];
export const AXIS_COUNT = 5;

/** One stepping axis. `unit` is mm for slides and turn for what rotates; speeds and accelerations are per second in it. */
export interface Axis {
  unit: 'mm' | 'turn';
  /** Steps in one unit. Need not be a whole number (a belt ratio seldom is): it is carried exactly. */
  stepsPerUnit: number;
  /** Largest speed, units per second. */
  maxSpeed: number;
  /** Largest acceleration, units per second squared; what the chip's own easing ramp takes is reserved out of it. */
  maxAcceleration: number;
  /** Travel of a slide in its unit; absent for what may turn for ever. */
  min?: number;
  max?: number;
  /** The motor is wired so that it turns the other way; the host changes the direction on its way to a stand of iron. */
  reversed?: boolean;
}

export interface Stand {
  name: string;
  /** False for real iron. Whatever is virtual says so on every page, report and log row. */
  virtual: boolean;
  /** Path ticks per second of the controller; 40 kHz on both boards of the reference build. */
  tickHz: number;
  axes: Record<'turntable' | 'stroke' | 'radial' | 'lapTurn', Axis> & { spare?: Axis };
  /** Time the chip takes from full pace to rest, seconds; its share of acceleration is reserved by the planner. */
  rampSeconds: number;
  lift: { travelSeconds: number; timeoutSeconds: number };
  /** How far the index may be from where it is expected before the walk is eased, degrees of the turntable. */
  indexToleranceDeg: number;
  /** The chip eases when the host has said nothing new for this long, milliseconds. */
  hostSilentMs: number;
  /** How long it warns before anything moves, seconds. */
  countdownSeconds: number;
  /** Set by the person once the stand was put through its commissioning; a real run is refused without it. */
  commissioned: boolean;
  /** Which board the controller is; left out where the file does not say. */
  board?: BoardName;
  /** What this stand's outputs have otherwise than the board's own table; never without `board`. */
  pins?: OwnPins;
  /** Left out: nothing else hangs on it. */
  accessories?: Accessories;
}
