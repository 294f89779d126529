import { AXES, AXIS_COUNT, type Stand } from '../stand/types';
import type { FindingList } from './finding-list';
import type { StepCounts } from './kinematics';

/** Most that rounding puts a border beside the path, steps. */
const BORDER = 0.5 + 1e-4;

/** Shortest stretch for which speed and acceleration are also taken as a whole, seconds; rounding is 25 steps/s over it. */
const STRETCH_SECONDS = 0.04;

/** Steepest slope of the smooth step by which the chip's own easing changes its pace (3x^2 - 2x^3 at x = 1/2). */
const STEEPEST_EASING = 1.5;

/**
 * Speed, acceleration and travel of each axis, from the counts alone. Mean speeds over two neighbouring stretches cannot
 * differ by more than the largest acceleration times the distance of their middles; whole steps add half a step of doubt at each of
 * the three borders. So nothing lawful is ever reported, and the longer the stretch, the less a fault can hide: it is done
 * for neighbouring segments (sudden jumps) and for stretches of 40 ms (limits broken for longer).
 *
 * The chip may ease anywhere on the path, which adds speed x (rate at which its pace changes): that much of the acceleration
 * must be left over. The speed at the border is taken as the mean of both stretches; with acceleration A it differs from the one
 * weighted like the second difference by at most A x apart / 4.
 */
export class MotionCheck {
  private readonly at: Float64Array;
  private readonly low = new Float64Array(AXIS_COUNT).fill(-Infinity);
  private readonly high = new Float64Array(AXIS_COUNT).fill(Infinity);
  private readonly single: Stretches;
  private readonly longer: Stretches;
  private readonly stretchTicks: number;
  private readonly moved = new Float64Array(AXIS_COUNT);
  private readonly sum = new Float64Array(AXIS_COUNT);
  private sumTicks = 0;

  /** `plannedStart`: whole steps where the path begins; the way there from `startSteps` is not the path's to answer for. */
  constructor(
    private readonly list: FindingList,
    stand: Stand,
    startSteps: StepCounts,
    plannedStart: StepCounts,
  ) {
    this.at = Float64Array.from(startSteps);
    this.single = new Stretches(list, stand);
    this.longer = new Stretches(list, stand);
    this.stretchTicks = STRETCH_SECONDS * stand.tickHz;
    for (let axis = 0; axis < AXIS_COUNT; axis++) {
      this.moved[axis] = startSteps[axis]! - plannedStart[axis]!;
      const found = stand.axes[AXES[axis]!];
      if (found?.min !== undefined) this.low[axis] = found.min * found.stepsPerUnit - BORDER;
      if (found?.max !== undefined) this.high[axis] = found.max * found.stepsPerUnit + BORDER;
    }
  }

  check(bytes: Uint8Array, offset: number): void {
    const ticks = bytes[offset]!;
    const directions = bytes[offset + 2]!;
    for (let axis = 0; axis < AXIS_COUNT; axis++) {
      const steps = bytes[offset + 3 + axis]!;
      const signed = (directions >> axis) & 1 ? -steps : steps;
      const at = this.at[axis]! + signed;
      this.at[axis] = at;
      if (at < this.low[axis]! || at > this.high[axis]!) {
        const limit = at < this.low[axis]! ? this.low[axis]! : this.high[axis]!;
        this.list.add('travel', axis, at, limit, `leaves its travel (at ${at} steps, limit ${limit.toFixed(0)})`);
      }
      this.moved[axis]! += signed;
      this.sum[axis]! += this.moved[axis]!;
    }
    this.single.take(this.moved, ticks);
    this.sumTicks += ticks;
    if (this.sumTicks >= this.stretchTicks) this.endStretch();
    this.moved.fill(0);
  }

  finish(): void {
    if (this.sumTicks > 0) this.endStretch();
    this.single.rest();
    this.longer.rest();
  }

  private endStretch(): void {
    this.longer.take(this.sum, this.sumTicks);
    this.sum.fill(0);
    this.sumTicks = 0;
  }
}

/** Speeds over one stretch after another, and the change from each to the next. Begins and ends at rest. */
class Stretches {
  private readonly maxSpeed = new Float64Array(AXIS_COUNT).fill(Infinity);
  private readonly maxAcceleration = new Float64Array(AXIS_COUNT).fill(Infinity);
  private readonly speed = new Float64Array(AXIS_COUNT);
  /** Largest change of the chip's pace in one tick. */
  private readonly easing: number;
  /** Ticks of the stretch before; 0 = at rest. */
  private ticks = 0;

  constructor(
    private readonly list: FindingList,
    private readonly stand: Stand,
  ) {
    this.easing = STEEPEST_EASING / (stand.rampSeconds * stand.tickHz);
    for (let axis = 0; axis < AXIS_COUNT; axis++) {
      const found = stand.axes[AXES[axis]!];
      if (found === undefined) continue;
      this.maxSpeed[axis] = (found.maxSpeed * found.stepsPerUnit) / stand.tickHz;
      this.maxAcceleration[axis] = (found.maxAcceleration * found.stepsPerUnit) / stand.tickHz ** 2;
    }
  }

  take(moved: Float64Array, ticks: number): void {
    const doubt = (2 * BORDER) / ticks;
    // At rest there is no doubt about the speed before, and its middle is where it ends.
    const doubtOfChange = doubt + (this.ticks > 0 ? (2 * BORDER) / this.ticks : 0);
    const apart = (ticks + this.ticks) / 2;
    const share = this.ticks / (ticks + this.ticks);
    const doubtOfEasing = (this.easing * BORDER) / apart;
    for (let axis = 0; axis < AXIS_COUNT; axis++) {
      const speed = moved[axis]! / ticks;
      if (Math.abs(speed) > this.maxSpeed[axis]! + doubt) this.tooFast(axis, speed);
      const before = this.speed[axis]!;
      const most = this.maxAcceleration[axis]!;
      const change = Math.abs(speed - before);
      const eased = this.easing * Math.abs(share * before + (1 - share) * speed);
      const doubtful = doubtOfChange + apart * (doubtOfEasing + (most * this.easing * apart) / 4);
      if (change + apart * eased > most * apart + doubtful) this.tooSudden(axis, change / apart + eased);
      this.speed[axis] = speed;
    }
    this.ticks = ticks;
  }

  /** The walk stands still after the last stretch. */
  rest(): void {
    if (this.ticks === 0) return;
    const doubt = (2 * BORDER) / this.ticks;
    for (let axis = 0; axis < AXIS_COUNT; axis++) {
      const change = Math.abs(this.speed[axis]!);
      const apart = this.ticks / 2;
      if (change > this.maxAcceleration[axis]! * apart + doubt) this.tooSudden(axis, change / apart);
    }
  }

  private tooFast(axis: number, stepsPerTick: number): void {
    const found = this.stand.axes[AXES[axis]!]!;
    const value = (Math.abs(stepsPerTick) * this.stand.tickHz) / found.stepsPerUnit;
    const words = `${value.toPrecision(4)} ${found.unit}/s is faster than its ${found.maxSpeed} ${found.unit}/s`;
    this.list.add('speed', axis, value, found.maxSpeed, words);
  }

  private tooSudden(axis: number, stepsPerTick2: number): void {
    const found = this.stand.axes[AXES[axis]!]!;
    const value = (stepsPerTick2 * this.stand.tickHz ** 2) / found.stepsPerUnit;
    const unit = `${found.unit}/s2`;
    const words = `${value.toPrecision(4)} ${unit} with the easing's share is more than its ${found.maxAcceleration} ${unit}`;
    this.list.add('acceleration', axis, value, found.maxAcceleration, words);
  }
}
