/**
 * The place on the path. A stand tells where it is as (number of the segment being walked, ticks of it still to walk); with
 * the segments that were sent this is every axis to the step and the turns walked, as pure arithmetic.
 */
import type { Path } from '../path/types';
import { AXIS_COUNT, type Stand } from '../stand/types';
import type { TimeLaw } from '../timing/types';
import type { CompileOptions } from './compile';
import type { StepCounts } from './kinematics';
import { type Leg, legsOf, turnsAtTick } from './legs';
import { stepsAtTurns } from './rounding';
import { SEGMENT_BYTES } from './segment';

/**
 * Steps an axis has made after `walked` of a segment's `ticks` path ticks: the remainder starts at floor(ticks/2), each tick
 * adds `steps`, each full `ticks` is one step (controller's SPEC, section 1).
 */
export function stepsWithin(ticks: number, steps: number, walked: number): number {
  return Math.floor(((ticks >> 1) + walked * steps) / ticks);
}

/**
 * The window of segments that were sent and may still be asked about. Numbers count from the first segment after an open or
 * flush = 0, as on the stand. Memory grows with the window only: call `forgetBefore` as the walk goes on.
 */
export class SegmentLedger {
  private legs: Leg[];
  private readonly tickHz: number;
  /** Number of the oldest segment kept, and one more than the newest. */
  private first = 0;
  private next = 0;
  /** Rings of a power of two: raw bytes, ticks before each segment, steps before each segment. */
  private capacity = 1024;
  private bytes = new Uint8Array(this.capacity * SEGMENT_BYTES);
  private tickBefore = new Float64Array(this.capacity);
  private stepsBefore = new Float64Array(this.capacity * AXIS_COUNT);
  private tick = 0;
  private readonly startSteps: StepCounts;
  private readonly steps: Float64Array;

  constructor(
    private readonly path: Path,
    private law: TimeLaw,
    stand: Stand,
    options: CompileOptions = {},
  ) {
    this.legs = legsOf(path, law, stand.tickHz);
    this.tickHz = stand.tickHz;
    this.startSteps = options.fromSteps ?? stepsAtTurns(path, stand, law.fromTurns);
    this.steps = Float64Array.from(this.startSteps);
  }

  /** Number the next appended segment will have. */
  get end(): number {
    return this.next;
  }

  /** Whether the place in a segment can be told: -1 is the place before the first. */
  has(segment: number): boolean {
    return segment < this.next && (segment >= this.first || (segment === -1 && this.first === 0));
  }

  /** Adds segments in the order they are sent. */
  append(batch: Uint8Array): void {
    for (let offset = 0; offset + SEGMENT_BYTES <= batch.length; offset += SEGMENT_BYTES) {
      if (this.next - this.first === this.capacity) this.grow();
      const slot = this.next & (this.capacity - 1);
      this.bytes.set(batch.subarray(offset, offset + SEGMENT_BYTES), slot * SEGMENT_BYTES);
      this.tickBefore[slot] = this.tick;
      this.stepsBefore.set(this.steps, slot * AXIS_COUNT);
      this.tick += batch[offset]!;
      const directions = batch[offset + 2]!;
      for (let axis = 0; axis < AXIS_COUNT; axis++) {
        const steps = batch[offset + 3 + axis]!;
        this.steps[axis]! += (directions >> axis) & 1 ? -steps : steps;
      }
      this.next++;
    }
  }

  /**
   * Executed steps of every axis with `ticksLeft` path ticks of a segment still to walk, counted from the stand's zero.
   * Throws RangeError for a segment that was never sent or already forgotten (ask `has` first).
   */
  stepsAt(segment: number, ticksLeft: number): StepCounts {
    const slot = this.slotOf(segment);
    if (segment < 0) return this.startSteps;
    const out: number[] = [];
    const ticks = this.bytes[slot * SEGMENT_BYTES]!;
    const directions = this.bytes[slot * SEGMENT_BYTES + 2]!;
    const walked = ticks - clampTicks(ticksLeft, ticks);
    for (let axis = 0; axis < AXIS_COUNT; axis++) {
      const made = stepsWithin(ticks, this.bytes[slot * SEGMENT_BYTES + 3 + axis]!, walked);
      out.push(this.stepsBefore[slot * AXIS_COUNT + axis]! + ((directions >> axis) & 1 ? -made : made));
    }
    return out;
  }

  /** Turns walked at that place. */
  turnsAt(segment: number, ticksLeft: number): number {
    return this.turnsAtTick(this.ticksAt(segment, ticksLeft));
  }

  /** Path ticks walked since the law's start at that place. */
  ticksAt(segment: number, ticksLeft: number): number {
    const slot = this.slotOf(segment);
    if (segment < 0) return 0;
    const ticks = this.bytes[slot * SEGMENT_BYTES]!;
    return this.tickBefore[slot]! + ticks - clampTicks(ticksLeft, ticks);
  }

  /** What is appended from now on follows another law, which agrees with the old one up to here. */
  changeLaw(law: TimeLaw): void {
    this.legs = legsOf(this.path, law, this.tickHz);
    this.law = law;
  }

  /** Drops the segments before this number from memory. */
  forgetBefore(segment: number): void {
    this.first = Math.max(this.first, Math.min(segment, this.next));
  }

  private turnsAtTick(tick: number): number {
    if (tick <= 0) return this.law.fromTurns;
    const leg = this.legs.find((candidate) => tick <= candidate.toTick) ?? this.legs[this.legs.length - 1]!;
    return turnsAtTick(this.law, leg, tick, this.tickHz);
  }

  private slotOf(segment: number): number {
    if (!this.has(segment)) {
      throw new RangeError(`Segment ${segment} is not in the ledger (it holds ${this.first} to ${this.next - 1}).`);
    }
    return segment & (this.capacity - 1);
  }

  private grow(): void {
    const old = { bytes: this.bytes, tick: this.tickBefore, steps: this.stepsBefore, mask: this.capacity - 1 };
    this.capacity *= 2;
    this.bytes = new Uint8Array(this.capacity * SEGMENT_BYTES);
    this.tickBefore = new Float64Array(this.capacity);
    this.stepsBefore = new Float64Array(this.capacity * AXIS_COUNT);
    for (let segment = this.first; segment < this.next; segment++) {
      const from = segment & old.mask;
      const to = segment & (this.capacity - 1);
      this.bytes.set(old.bytes.subarray(from * SEGMENT_BYTES, (from + 1) * SEGMENT_BYTES), to * SEGMENT_BYTES);
      this.tickBefore[to] = old.tick[from]!;
      this.stepsBefore.set(old.steps.subarray(from * AXIS_COUNT, (from + 1) * AXIS_COUNT), to * AXIS_COUNT);
    }
  }
}

/** A stand may tell a wrong count; a place outside the segment is none. */
function clampTicks(ticksLeft: number, ticks: number): number {
  return Math.min(ticks, Math.max(0, ticksLeft));
}
