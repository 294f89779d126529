/**
 * From the path to segments: `compileSegments` yields them in batches, in constant memory, as fast as the feeder or a rehearsal asks.
 *
 * Each segment ends on the whole step nearest to the path, so nothing ever adds up. Its length is the longest (255 ticks at
 * most) whose chord leaves the path by no more than the sag bound, so every axis is within 1.5 steps of the path at every tick:
 * half a step from rounding the borders, half from spreading whole steps over whole ticks, half from the sag.
 */
import type { Path } from '../path/types';
import type { Stand } from '../stand/types';
import type { TimeLaw } from '../timing/types';
import type { StepCounts } from './kinematics';
import { SEGMENT_BYTES } from './segment';
import { SegmentWriter } from './writer';

export interface CompileOptions {
  /**
   * Where the axes really stand, steps in the order of `AXES` from the stand's zero. Left out: where the path begins. When a
   * run goes on, the last place was reached within 1.5 steps; the difference is made good in the first segment.
   */
  fromSteps?: StepCounts;
}

/** Segments in a batch; 4 KiB. */
const BATCH_SEGMENTS = 512;

/**
 * Segments of the walk from `law.fromTurns` to `law.toTurns`, 8 bytes each, in batches that the caller may keep. Throws
 * `UnwalkablePath` where a rule of the segments cannot be kept (an axis too fast for half the tick rate, a reversal too hard,
 * a start too far from the path); speed, acceleration and travel are the checker's to judge.
 */
export function* compileSegments(
  path: Path,
  law: TimeLaw,
  stand: Stand,
  options: CompileOptions = {},
): Generator<Uint8Array, void, void> {
  const writer = new SegmentWriter(path, law, stand, options.fromSteps);
  while (!writer.done) {
    const batch = new Uint8Array(BATCH_SEGMENTS * SEGMENT_BYTES);
    const bytes = writer.fill(batch);
    yield bytes === batch.length ? batch : batch.subarray(0, bytes);
  }
}
