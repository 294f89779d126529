/**
 * The tight loop of the compiler: about four and a half million segments for an eight-hour program, so nothing is allocated per
 * segment and each costs two evaluations of law and path (its end and its middle).
 *
 * Sag: the middle of the segment is compared with the middle of its chord. For a constant acceleration A that is exactly
 * A T^2/8, the largest deviation; where A changes within the segment the largest may lie beside the middle, which the room between
 * `SAG_LIMIT` and half a step covers.
 *
 * Sign rule: with A T^2/8 <= 0.5 an axis that turns round within two neighbouring segments of T ticks has moved at
 * most A T^2 + 1 <= 5 steps in either, and 4 x 5 <= 20 <= T. So it holds by itself for any path the stand can follow; it is
 * tested all the same, shorter segments are tried where it fails, and a path for which none will do is refused.
 */
import { type Path, PLACE_SIZE } from '../path/types';
import { AXIS_COUNT, type Stand } from '../stand/types';
import type { TimeLaw } from '../timing/types';
import { type Finding, type FindingKind, UnwalkablePath } from './findings';
import { type Kinematics, kinematicsOf, type StepCounts } from './kinematics';
import { type Leg, legAfter, legsOf, turnsAtTick } from './legs';
import { HALF_UP, wholeSteps } from './rounding';
import { FLAG_REST, SEGMENT_BYTES, SEGMENT_MAX_TICKS, SEGMENT_MIN_TICKS } from './segment';

/** Largest deviation of the path from the chord, steps; and what the next segment's length aims at. */
const SAG_LIMIT = 0.48;
const SAG_AIM = 0.44;

/**
 * A run that goes on stands within 1.5 steps of the path; half a step more for a place kept in rounded figures. Further off is an
 * axis that was not parked.
 */
const LARGEST_START_STEPS = 2;

export class SegmentWriter {
  done = false;

  private readonly tickHz: number;
  private readonly kinematics: Kinematics;
  private legs: Leg[];
  private legNumber = 0;
  private leg: Leg;
  private tick = 0;
  private segment = 0;
  /** Length to try next. */
  private nextTicks = SEGMENT_MAX_TICKS;

  private readonly place = new Float64Array(PLACE_SIZE);
  /** Path in steps at the segment's begin, middle and end. */
  private begin = new Float64Array(AXIS_COUNT);
  private readonly middle = new Float64Array(AXIS_COUNT);
  private end = new Float64Array(AXIS_COUNT);
  /** Whole steps at which the axes stand. */
  private readonly at = new Float64Array(AXIS_COUNT);
  /** Steps of this segment with their sign. */
  private readonly move = new Int32Array(AXIS_COUNT);
  private directions = 0;
  private readonly lastSteps = new Int32Array(AXIS_COUNT);
  private lastTicks = 0;
  private failedAxis = -1;

  constructor(
    private readonly path: Path,
    private law: TimeLaw,
    stand: Stand,
    fromSteps: StepCounts | undefined,
  ) {
    this.tickHz = stand.tickHz;
    this.kinematics = kinematicsOf(stand);
    this.legs = legsOf(path, law, stand.tickHz);
    this.leg = this.legs[0]!;
    this.evaluate(law.fromTurns, this.begin);
    for (let axis = 0; axis < AXIS_COUNT; axis++) {
      const planned = this.begin[axis]!;
      this.at[axis] = fromSteps?.[axis] ?? wholeSteps(planned);
      if (!(Math.abs(this.at[axis]! - planned) <= LARGEST_START_STEPS)) {
        this.failedAxis = axis;
        this.fail('start', this.at[axis]! - planned, LARGEST_START_STEPS, 'stands too far from where the path goes on');
      }
    }
  }

  /** Writes whole segments into `out` until it is full or the walk is done; returns the bytes written. */
  fill(out: Uint8Array): number {
    let bytes = 0;
    while (!this.done && bytes + SEGMENT_BYTES <= out.length) {
      this.write(out, bytes);
      bytes += SEGMENT_BYTES;
    }
    return bytes;
  }

  /**
   * Writes on under another law, one with an earlier end. The laws must agree up to what is written (`legAfter` throws
   * RangeError where they cannot): what was sent is being walked.
   */
  changeLaw(law: TimeLaw): void {
    const legs = legsOf(this.path, law, this.tickHz);
    this.legNumber = legAfter(legs, this.tick);
    this.leg = legs[this.legNumber]!;
    this.legs = legs;
    this.law = law;
  }

  private write(out: Uint8Array, offset: number): void {
    const remaining = this.leg.toTick - this.tick;
    let ticks = fittingLength(this.nextTicks, remaining);
    let sag = this.measure(ticks);
    for (;;) {
      const failed = sag > SAG_LIMIT ? 'sag' : this.failedRule(ticks, ticks === remaining);
      if (failed === null) break;
      const shorter = failed === 'sag' ? Math.floor(ticks * Math.sqrt(SAG_AIM / sag)) : ticks >> 1;
      const next = fittingLength(Math.max(SEGMENT_MIN_TICKS, Math.min(shorter, ticks - 1)), remaining);
      if (next >= ticks) this.failRule(failed, ticks, sag);
      ticks = next;
      sag = this.measure(ticks);
    }
    this.emit(out, offset, ticks);
    this.nextTicks =
      sag * 4 < SAG_AIM ? SEGMENT_MAX_TICKS : Math.min(SEGMENT_MAX_TICKS, Math.floor(ticks * Math.sqrt(SAG_AIM / sag)));
  }

  /** Evaluates end and middle of a segment of `ticks` from here; returns the largest sag of any axis, steps. */
  private measure(ticks: number): number {
    this.evaluate(turnsAtTick(this.law, this.leg, this.tick + ticks, this.tickHz), this.end);
    this.evaluate(turnsAtTick(this.law, this.leg, this.tick + ticks / 2, this.tickHz), this.middle);
    let largest = 0;
    for (let axis = 0; axis < AXIS_COUNT; axis++) {
      const sag = Math.abs(this.middle[axis]! - (this.begin[axis]! + this.end[axis]!) / 2);
      if (sag > largest) largest = sag;
    }
    return largest;
  }

  private evaluate(turns: number, out: Float64Array): void {
    this.path.sample(turns, this.place);
    this.kinematics.stepsAt(this.place, out);
  }

  /** Sets `move` for a segment of `ticks`; null when it keeps every rule of the segments. */
  private failedRule(ticks: number, last: boolean): FindingKind | null {
    for (let axis = 0; axis < AXIS_COUNT; axis++) {
      const move = Math.floor(this.end[axis]! + HALF_UP) - this.at[axis]!;
      this.move[axis] = move;
      if (move === 0) continue;
      const steps = move < 0 ? -move : move;
      this.failedAxis = axis;
      if (2 * steps > ticks) return 'steps';
      if (last && 16 * steps > ticks) return 'fast rest';
      const flips = move < 0 !== ((this.directions >> axis) & 1) > 0;
      // What the pins stood at before the first segment is not known here: it is held to the rule as if each axis turned round.
      if ((flips || this.segment === 0) && (4 * steps > ticks || 4 * this.lastSteps[axis]! > this.lastTicks)) {
        return 'sign rule';
      }
    }
    return null;
  }

  private emit(out: Uint8Array, offset: number, ticks: number): void {
    let directions = this.directions;
    for (let axis = 0; axis < AXIS_COUNT; axis++) {
      const move = this.move[axis]!;
      const steps = move < 0 ? -move : move;
      if (move < 0) directions |= 1 << axis;
      else if (move > 0) directions &= ~(1 << axis);
      this.at[axis]! += move;
      this.lastSteps[axis] = steps;
      out[offset + 3 + axis] = steps;
    }
    this.tick += ticks;
    const rests = this.tick === this.leg.toTick;
    out[offset] = ticks;
    out[offset + 1] = rests ? FLAG_REST : 0;
    out[offset + 2] = directions;
    this.directions = directions;
    this.lastTicks = ticks;
    this.segment++;
    const begin = this.begin;
    this.begin = this.end;
    this.end = begin;
    if (rests) this.nextLeg();
  }

  private nextLeg(): void {
    this.legNumber++;
    const leg = this.legs[this.legNumber];
    if (leg === undefined) this.done = true;
    else this.leg = leg;
  }

  private failRule(kind: FindingKind, ticks: number, sag: number): never {
    const move = Math.abs(this.move[this.failedAxis] ?? 0);
    if (kind === 'sag') {
      this.failedAxis = -1;
      this.fail(kind, sag, SAG_LIMIT, `the path bends too hard: ${sag.toFixed(2)} steps of sag in ${ticks} ticks`);
    }
    const rules = { steps: 2, 'sign rule': 4, 'fast rest': 16 } as Partial<Record<FindingKind, number>>;
    const share = rules[kind] ?? 1;
    const why =
      kind === 'steps'
        ? 'is too fast for the controller'
        : kind === 'fast rest'
          ? 'is too fast before a rest'
          : 'turns round too hard';
    this.fail(kind, move, ticks / share, `${why}: ${move} steps in ${ticks} ticks`);
  }

  private fail(kind: FindingKind, value: number, limit: number, words: string): never {
    const turns = turnsAtTick(this.law, this.leg, this.tick, this.tickHz);
    const finding: Finding = {
      kind,
      segment: this.segment,
      seconds: this.tick / this.tickHz,
      turns,
      axis: this.failedAxis,
      value,
      limit,
      words,
    };
    throw new UnwalkablePath(finding);
  }
}

/** The wanted length, changed so that the rest of the leg (`remaining` ticks, at least 20) can still be cut into segments. */
function fittingLength(wanted: number, remaining: number): number {
  if (remaining <= wanted) return remaining;
  if (remaining - wanted >= SEGMENT_MIN_TICKS) return wanted;
  return remaining >= 2 * SEGMENT_MIN_TICKS ? remaining >> 1 : remaining;
}
