/**
 * The time law: from rest to rest at the start, around each planned rest and at the end. A leg between two rests runs up in T seconds
 * with the speed a quintic smooth step (acceleration continuous, so the jerk is bounded), then steadily, then down in T.
 */
import { smoothStep, smoothStepSlope } from '../path/smooth';
import type { TimeLaw } from './types';

/** Share of T times the leg's speed that is walked up to the time s T of a ramp: the integral of the smooth step, 1/2 at s = 1. */
function rampWalk(s: number): number {
  return s * s * s * s * (2.5 + s * (s - 3));
}

/** Inverse of `rampWalk` on [0, 1], to rounding: Newton's method kept inside a shrinking bracket. */
function rampTime(walked: number): number {
  if (walked <= 0) return 0;
  if (walked >= 0.5) return 1;
  let low = 0;
  let high = 1;
  let s = Math.min(1, (walked / 2.5) ** 0.25);
  for (let i = 0; i < 80; i++) {
    const excess = rampWalk(s) - walked;
    if (excess > 0) high = s;
    else low = s;
    let next = s - excess / smoothStep(s);
    if (!(next > low && next < high)) next = (low + high) / 2;
    if (Math.abs(next - s) <= 2.3e-16 * s) return next;
    s = next;
  }
  return s;
}

/** Columns of the table of legs. */
const FROM_TURNS = 0;
const TO_TURNS = 1;
const FROM_SECONDS = 2;
const TO_SECONDS = 3;
const SPEED = 4;
const LEG = 5;

export class RestToRest implements TimeLaw {
  readonly fromTurns: number;
  readonly toTurns: number;
  readonly durationSeconds: number;
  readonly restSeconds: readonly number[];
  private readonly legs: Float64Array;
  /** Offset of the leg used last. */
  private leg = 0;

  /**
   * @param stops turns walked at which the walk is at rest: start, planned rests, end; ascending, at least two
   * @param cruiseTurnsPerSecond speed between the ramps
   * @param rampSeconds T; a leg too short for both ramps at full speed keeps T and runs slower
   */
  constructor(
    stops: readonly number[],
    readonly cruiseTurnsPerSecond: number,
    readonly rampSeconds: number,
  ) {
    const count = stops.length - 1;
    this.legs = new Float64Array(count * LEG);
    const rests: number[] = [];
    let seconds = 0;
    for (let i = 0; i < count; i++) {
      const [from, to] = [stops[i] as number, stops[i + 1] as number];
      const speed = Math.min(cruiseTurnsPerSecond, (to - from) / rampSeconds);
      const end = seconds + rampSeconds + (to - from) / speed;
      this.legs.set([from, to, seconds, end, speed], i * LEG);
      if (i > 0) rests.push(seconds);
      seconds = end;
    }
    this.fromTurns = stops[0] as number;
    this.toTurns = stops[count] as number;
    this.durationSeconds = seconds;
    this.restSeconds = rests;
  }

  turnsAt(seconds: number): number {
    const L = this.legs;
    const o = this.legAtSeconds(seconds);
    const T = this.rampSeconds;
    const speed = L[o + SPEED] as number;
    const since = seconds - (L[o + FROM_SECONDS] as number);
    const left = (L[o + TO_SECONDS] as number) - seconds;
    if (left <= 0) return L[o + TO_TURNS] as number;
    if (left < T) return (L[o + TO_TURNS] as number) - speed * T * rampWalk(left / T);
    const from = L[o + FROM_TURNS] as number;
    if (since <= 0) return from;
    if (since < T) return from + speed * T * rampWalk(since / T);
    return from + speed * (since - 0.5 * T);
  }

  speedAt(seconds: number): number {
    const L = this.legs;
    const o = this.legAtSeconds(seconds);
    const since = seconds - (L[o + FROM_SECONDS] as number);
    const left = (L[o + TO_SECONDS] as number) - seconds;
    const nearest = Math.min(since, left);
    if (nearest <= 0) return 0;
    const speed = L[o + SPEED] as number;
    return nearest < this.rampSeconds ? speed * smoothStep(nearest / this.rampSeconds) : speed;
  }

  /** d2u/dt2, absolute, turns per second squared. */
  speedRateAt(seconds: number): number {
    const L = this.legs;
    const o = this.legAtSeconds(seconds);
    const T = this.rampSeconds;
    const nearest = Math.min(seconds - (L[o + FROM_SECONDS] as number), (L[o + TO_SECONDS] as number) - seconds);
    return nearest < T ? ((L[o + SPEED] as number) * smoothStepSlope(nearest / T)) / T : 0;
  }

  /** The stretches of time in which the speed changes, two for each leg. */
  ramps(): { fromSeconds: number; toSeconds: number }[] {
    const list: { fromSeconds: number; toSeconds: number }[] = [];
    for (let o = 0; o < this.legs.length; o += LEG) {
      const [begin, end] = [this.legs[o + FROM_SECONDS] as number, this.legs[o + TO_SECONDS] as number];
      list.push({ fromSeconds: begin, toSeconds: begin + this.rampSeconds });
      list.push({ fromSeconds: end - this.rampSeconds, toSeconds: end });
    }
    return list;
  }

  /** The first time at which that many turns are walked (a rest has no length here). */
  secondsAt(turns: number): number {
    const L = this.legs;
    const o = this.legAtTurns(turns);
    const T = this.rampSeconds;
    const speed = L[o + SPEED] as number;
    const walked = turns - (L[o + FROM_TURNS] as number);
    const left = (L[o + TO_TURNS] as number) - turns;
    const ramp = 0.5 * speed * T;
    if (left <= 0) return L[o + TO_SECONDS] as number;
    if (left < ramp) return (L[o + TO_SECONDS] as number) - T * rampTime(left / (speed * T));
    const begin = L[o + FROM_SECONDS] as number;
    if (walked <= 0) return begin;
    if (walked < ramp) return begin + T * rampTime(walked / (speed * T));
    return begin + 0.5 * T + walked / speed;
  }

  /** Leg that holds the place; at a rest the earlier leg. */
  private legAtTurns(turns: number): number {
    let low = 0;
    let high = this.legs.length / LEG - 1;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (turns <= (this.legs[middle * LEG + TO_TURNS] as number)) high = middle;
      else low = middle + 1;
    }
    return low * LEG;
  }

  /** Leg that holds the time; asked with ascending times it is the last one or the next. At a rest: the later leg. */
  private legAtSeconds(seconds: number): number {
    const L = this.legs;
    let o = this.leg;
    while (o > 0 && seconds < (L[o + FROM_SECONDS] as number)) o -= LEG;
    while (o < L.length - LEG && seconds >= (L[o + TO_SECONDS] as number)) o += LEG;
    this.leg = o;
    return o;
  }
}
