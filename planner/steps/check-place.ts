import { type Path, PLACE_SIZE } from '../path/types';
import { AXIS_COUNT, type Stand } from '../stand/types';
import type { TimeLaw } from '../timing/types';
import type { CheckOptions } from './checker';
import type { FindingList } from './finding-list';
import { type Kinematics, kinematicsOf, type StepCounts } from './kinematics';
import { stepsAtTurns } from './rounding';

/** The bound of the planner: no axis further from the path than this at any tick, steps. */
const LARGEST_DEVIATION = 1.5;
/** At a border the axes stand on the whole step nearest to the path; the rest is floating-point noise and ties. */
const LARGEST_BORDER_DEVIATION = 0.5 + 1e-4;
/** Spreading whole steps over whole ticks leaves the straight line by no more than this, steps. */
const SPREADING = 0.5;
/** A run that goes on was left within 1.5 steps; half a step for a place kept in rounded figures. */
const LARGEST_START_DEVIATION = 2;
/** Room for the second derivative to be larger inside a segment than at both its ends. */
const INSIDE = 1.01;

/** Where each axis stands against the path: at the borders exactly, inside a segment by a bound or at every tick. */
export class PlaceCheck {
  /** Whole steps where the axes stand at the beginning, and where the path begins. */
  readonly startSteps: StepCounts;
  readonly plannedStart: StepCounts;

  private readonly kinematics: Kinematics;
  private readonly tickHz: number;
  private readonly everyTick: boolean;
  private readonly at: Float64Array;
  private readonly place = new Float64Array(PLACE_SIZE);
  private readonly placeDerivatives = new Float64Array(2 * PLACE_SIZE);
  private readonly planned = new Float64Array(AXIS_COUNT);
  private readonly deviation = new Float64Array(AXIS_COUNT);
  private derivatives = new Float64Array(2 * AXIS_COUNT);
  private derivativesBefore = new Float64Array(2 * AXIS_COUNT);
  private speed: number;
  private acceleration = 0;
  private first = true;

  constructor(
    private readonly list: FindingList,
    private readonly path: Path,
    private law: TimeLaw,
    stand: Stand,
    options: CheckOptions,
  ) {
    this.kinematics = kinematicsOf(stand);
    this.tickHz = stand.tickHz;
    this.everyTick = options.mode === 'every tick';
    this.speed = law.speedAt(0);
    this.evaluate(law.fromTurns);
    this.plannedStart = stepsAtTurns(path, stand, law.fromTurns);
    this.startSteps = options.fromSteps ?? this.plannedStart;
    this.at = Float64Array.from(this.startSteps);
    for (let axis = 0; axis < AXIS_COUNT; axis++) {
      const deviation = this.at[axis]! - this.planned[axis]!;
      this.deviation[axis] = deviation;
      if (Math.abs(deviation) > LARGEST_START_DEVIATION) {
        const words = `stands ${deviation.toFixed(1)} steps from where the path begins`;
        list.add('start', axis, deviation, LARGEST_START_DEVIATION, words);
      }
    }
  }

  /** From here on the walk follows another law, which agrees with the old one up to here. */
  changeLaw(law: TimeLaw): void {
    this.law = law;
  }

  /** `restSeconds`: the law's time of the rest that this leg runs to; the walk does not go beyond it. */
  check(bytes: Uint8Array, offset: number, tickBefore: number, restSeconds: number): void {
    const ticks = bytes[offset]!;
    const seconds = Math.min(restSeconds, (tickBefore + ticks) / this.tickHz);
    const speedBefore = this.speed;
    const accelerationBefore = this.acceleration;
    const derivatives = this.derivativesBefore;
    this.derivativesBefore = this.derivatives;
    this.derivatives = derivatives;
    this.evaluate(this.law.turnsAt(seconds));
    this.speed = this.law.speedAt(seconds);
    this.acceleration = ((this.speed - speedBefore) * this.tickHz) / ticks;
    // The law's acceleration is known as a mean over each segment; it is continuous, so the change since the last bounds it.
    const hardest = Math.abs(this.acceleration) + Math.abs(this.acceleration - accelerationBefore);
    const t2 = (ticks / this.tickHz) ** 2;
    let doubtful = this.everyTick;
    let worstBefore = 0;
    for (let axis = 0; axis < AXIS_COUNT; axis++) {
      const steps = bytes[offset + 3 + axis]!;
      const at = this.at[axis]! + ((bytes[offset + 2]! >> axis) & 1 ? -steps : steps);
      const deviation = at - this.planned[axis]!;
      const before = Math.abs(this.deviation[axis]!);
      const now = Math.abs(deviation);
      if (now > LARGEST_BORDER_DEVIATION) {
        const words = `stands ${deviation.toFixed(2)} steps from the path at the end of the segment`;
        this.list.add('off the path', axis, deviation, LARGEST_BORDER_DEVIATION, words);
      }
      const sag =
        (INSIDE *
          t2 *
          Math.max(
            this.bend(this.derivativesBefore, axis, speedBefore, hardest),
            this.bend(this.derivatives, axis, this.speed, hardest),
          )) /
        8;
      if (Math.max(before, now) + SPREADING + sag > LARGEST_DEVIATION) doubtful = true;
      if (before > worstBefore) worstBefore = before;
      this.deviation[axis] = deviation;
    }
    // Only the first segment of a run that goes on may begin further off; it is on the path at its end.
    const bound = this.first ? Math.max(LARGEST_DEVIATION, worstBefore + 1) : LARGEST_DEVIATION;
    if (doubtful) this.checkTicks(bytes, offset, tickBefore, restSeconds, bound);
    for (let axis = 0; axis < AXIS_COUNT; axis++) {
      const steps = bytes[offset + 3 + axis]!;
      this.at[axis]! += (bytes[offset + 2]! >> axis) & 1 ? -steps : steps;
    }
    this.first = false;
  }

  /** The axes end on the whole steps nearest to the path's end. */
  finish(): void {
    this.evaluate(this.law.toTurns);
    for (let axis = 0; axis < AXIS_COUNT; axis++) {
      const deviation = this.at[axis]! - this.planned[axis]!;
      if (Math.abs(deviation) > LARGEST_BORDER_DEVIATION) {
        const words = `ends ${deviation.toFixed(2)} steps from where the path ends`;
        this.list.add('end', axis, deviation, LARGEST_BORDER_DEVIATION, words);
      }
    }
  }

  /** Largest acceleration of an axis at a border, steps/s2: p'' v^2 + p' a with the derivatives by turns walked. */
  private bend(derivatives: Float64Array, axis: number, turnsPerSecond: number, turnsPerSecond2: number): number {
    const second = Math.abs(derivatives[AXIS_COUNT + axis]!) * turnsPerSecond * turnsPerSecond;
    return second + Math.abs(derivatives[axis]!) * turnsPerSecond2;
  }

  /** The controller's own arithmetic, tick by tick, against the path. Reports the worst tick of each axis. */
  private checkTicks(bytes: Uint8Array, offset: number, tickBefore: number, restSeconds: number, bound: number): void {
    const ticks = bytes[offset]!;
    const remainder = new Int32Array(AXIS_COUNT).fill(Math.floor(ticks / 2));
    const at = this.at.slice();
    const worst = new Float64Array(AXIS_COUNT);
    const steps = new Float64Array(AXIS_COUNT);
    for (let tick = 1; tick <= ticks; tick++) {
      const turns = this.law.turnsAt(Math.min(restSeconds, (tickBefore + tick) / this.tickHz));
      this.path.sample(turns, this.place);
      this.kinematics.stepsAt(this.place, steps);
      for (let axis = 0; axis < AXIS_COUNT; axis++) {
        remainder[axis]! += bytes[offset + 3 + axis]!;
        if (remainder[axis]! >= ticks) {
          remainder[axis]! -= ticks;
          at[axis]! += (bytes[offset + 2]! >> axis) & 1 ? -1 : 1;
        }
        const deviation = at[axis]! - steps[axis]!;
        if (Math.abs(deviation) > Math.abs(worst[axis]!)) worst[axis] = deviation;
      }
    }
    for (let axis = 0; axis < AXIS_COUNT; axis++) {
      const deviation = worst[axis]!;
      if (Math.abs(deviation) > bound) {
        this.list.add(
          'off the path',
          axis,
          deviation,
          bound,
          `is ${deviation.toFixed(2)} steps from the path inside the segment`,
        );
      }
    }
  }

  private evaluate(turns: number): void {
    this.path.sample(turns, this.place);
    this.kinematics.stepsAt(this.place, this.planned);
    this.path.derivatives(turns, this.placeDerivatives);
    this.kinematics.derivativesAt(this.place, this.placeDerivatives, this.derivatives);
  }
}
