import type { Path } from '../path/types';
import { AXIS_COUNT, type Stand } from '../stand/types';
import { kinematicsOf, type StepCounts } from './kinematics';

/**
 * Half a step, and a millionth in hand. Places that a person wrote down often fall on exactly half a step (half a stroke of
 * 80.025 mm at 40 steps/mm); floating-point noise of 1e-10 would then send the same place now up, now down, and an axis that
 * should stand still would step to and fro. The millionth puts the edge where no written number lies.
 */
export const HALF_UP = 0.5 + 1e-6;

/** The whole step count nearest to a place in steps, halves upward. */
export function wholeSteps(steps: number): number {
  return Math.floor(steps + HALF_UP);
}

/**
 * Where the axes stand at `turns` walked: whole steps of each axis, counted from the stand's zero (the turntable's from the
 * program's start). At turns = 0 this is where the axes must be parked before the walk begins.
 */
export function stepsAtTurns(path: Path, stand: Stand, turns: number): StepCounts {
  const place = new Float64Array(4);
  const steps = new Float64Array(AXIS_COUNT);
  path.sample(turns, place);
  kinematicsOf(stand).stepsAt(place, steps);
  return Array.from(steps, wholeSteps);
}
