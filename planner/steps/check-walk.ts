/** One streaming pass of a walk through compiler and checker: what it comes to in steps, and what is wrong with it. Keeps nothing. */
import type { Path } from '../path/types';
import { AXIS_COUNT, type Stand } from '../stand/types';
import type { TimeLaw } from '../timing/types';
import { SegmentChecker } from './checker';
import { type CompileOptions, compileSegments } from './compile';
import { type Finding, UnwalkablePath } from './findings';
import { SEGMENT_BYTES } from './segment';

export interface AxisSteps {
  turntable: number;
  stroke: number;
  radial: number;
  lapTurn: number;
}

export interface WalkSummary {
  segments: number;
  /** Where each axis ends, steps counted from where it began. */
  endSteps: AxisSteps;
  /** Sum of all steps of each axis, whatever their sense. */
  travelSteps: AxisSteps;
  /** What the checker found; empty when the walk may be sent. */
  findings: readonly Finding[];
}

/** Compiles and checks a walk from `law.fromTurns` to `law.toTurns`; do this before any of it is sent. */
export function checkWalk(path: Path, law: TimeLaw, stand: Stand, options: CompileOptions = {}): WalkSummary {
  const checker = new SegmentChecker(path, law, stand, { ...options, mode: 'quick' });
  const end = new Float64Array(AXIS_COUNT);
  const travel = new Float64Array(AXIS_COUNT);
  let segments = 0;
  let unwalkable: Finding[] = [];
  try {
    for (const batch of compileSegments(path, law, stand, options)) {
      segments += batch.length / SEGMENT_BYTES;
      count(batch, end, travel);
      if (!checker.take(batch)) break;
    }
  } catch (error) {
    if (!(error instanceof UnwalkablePath)) throw error;
    unwalkable = [error.finding];
  }
  const findings = unwalkable.length > 0 ? unwalkable : checker.finish();
  return { segments, endSteps: axisSteps(end), travelSteps: axisSteps(travel), findings };
}

function count(batch: Uint8Array, end: Float64Array, travel: Float64Array): void {
  for (let offset = 0; offset < batch.length; offset += SEGMENT_BYTES) {
    const directions = batch[offset + 2]!;
    for (let axis = 0; axis < AXIS_COUNT; axis++) {
      const steps = batch[offset + 3 + axis]!;
      travel[axis]! += steps;
      end[axis]! += (directions >> axis) & 1 ? -steps : steps;
    }
  }
}

function axisSteps(steps: Float64Array): AxisSteps {
  return { turntable: steps[0]!, stroke: steps[1]!, radial: steps[2]!, lapTurn: steps[3]! };
}
