/**
 * Sums up what each axis has really travelled: the absolute steps of every segment walked, partly walked ones included. Holds
 * the segments from the place last told to the newest sent, no more.
 */

import { AXIS_COUNT } from '../../planner/stand/types';
import { stepsWithin } from '../../planner/steps/ledger';
import { SEGMENT_BYTES } from '../../planner/steps/segment';
import type { StreamPlace } from '../stand/stand-link';

export class Travel {
  /** Steps of all segments before `first`, also of streams that ended. */
  private readonly whole = new Float64Array(AXIS_COUNT);
  private first = 0;
  private readonly waiting: Uint8Array[] = [];
  /** Bytes of waiting[0] that belong to segments before `first`. */
  private taken = 0;

  append(segments: Uint8Array): void {
    if (segments.length > 0) this.waiting.push(segments);
  }

  /** Absolute steps of each axis up to a place in the present stream; places never go back. */
  upTo(place: StreamPlace): number[] {
    while (this.first < place.segment) this.takeOne();
    const out = Array.from(this.whole);
    const batch = this.waiting[0];
    if (batch === undefined || place.segment < this.first) return out;
    const ticks = batch[this.taken]!;
    for (let axis = 0; axis < AXIS_COUNT; axis++)
      out[axis]! += stepsWithin(ticks, batch[this.taken + 3 + axis]!, ticks - Math.min(ticks, place.ticksLeft));
    return out;
  }

  /** The stream ended at this place (a flush); numbers start at 0 again. */
  endStream(place: StreamPlace): void {
    this.whole.set(this.upTo(place));
    this.waiting.length = 0;
    this.taken = 0;
    this.first = 0;
  }

  private takeOne(): void {
    const batch = this.waiting[0];
    if (batch === undefined) throw new RangeError('A place was told beyond what was sent.');
    for (let axis = 0; axis < AXIS_COUNT; axis++) this.whole[axis]! += batch[this.taken + 3 + axis]!;
    this.taken += SEGMENT_BYTES;
    this.first++;
    if (this.taken < batch.length) return;
    this.waiting.shift();
    this.taken = 0;
  }
}
