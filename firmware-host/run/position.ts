/**
 * Where the axes stand, as the host knows it: whole steps in the frame of the program that is walked. What turns has no absolute
 * place of its own: a turn more or less is the same place, so turntable and lap are counted in the program's frame from the start
 * of each walk on.
 */
import type { Place } from '../../planner/path/types';
import { AXES, AXIS_COUNT, type Stand } from '../../planner/stand/types';
import { kinematicsOf, type StepCounts } from '../../planner/steps/kinematics';

/** The place of the lap and the turntable at these steps. */
export function placeOf(steps: StepCounts, stand: Stand): Place {
  const out = new Float64Array(4);
  kinematicsOf(stand).placeAt(steps, out);
  return { turntableTurns: out[0]!, xMm: out[1]!, yMm: out[2]!, lapTurns: out[3]! };
}

/**
 * The same standing axes, counted so that what turns is as close as whole turns allow to `near`: a turntable that walked 40 turns and
 * is to start anew stands at 0. Slides keep their count. A turn that is no whole number of steps is rounded, half a step at most.
 */
export function recounted(steps: StepCounts, near: StepCounts, stand: Stand): number[] {
  const out: number[] = [];
  for (let axis = 0; axis < AXIS_COUNT; axis++) {
    const kind = stand.axes[AXES[axis]!];
    const at = steps[axis] ?? 0;
    if (kind?.unit !== 'turn') out.push(at);
    else out.push(at + Math.round(Math.round(((near[axis] ?? 0) - at) / kind.stepsPerUnit) * kind.stepsPerUnit));
  }
  return out;
}
