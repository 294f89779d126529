/**
 * The mechanism around an emulated chip: what ../controller/wasm/machine.c is to the WebAssembly core. Motors that follow STEP edges, the
 * index and the lapTurn reference at fractions of a step, limit switches, and the lift with its sensors.
 */
import { AXIS_COUNT, type Stand } from '../../planner/stand/types';
import { INPUT_BITS } from '../stand/codes';
import type { StandInputs } from '../stand/stand-link';
import { FREE_SHARE_OF_LIFT, LIMIT_MARGIN_MM, MARK_SHARE_OF_TURN, type StandingStart } from './mechanism';

const TURNTABLE = 0;
const STROKE = 1;
const RADIAL = 2;
const LAP_TURN = 3;

/** A mark on what turns. Angles are counted in steps; sums of steps and fractions of a turn stay exact far beyond 20,000 turns. */
interface Mark {
  input: number;
  stepsPerTurn: number;
  /** Where the axis stands past the mark's leading edge. */
  at: number;
}

interface Limits {
  axis: number;
  low: number;
  high: number;
  lowInput: number;
  highInput: number;
}

export class ChipMechanism {
  /** Where each axis stands, and how many steps it made both ways. */
  readonly position = new Float64Array(AXIS_COUNT);
  readonly travel = new Float64Array(AXIS_COUNT);
  /** Inputs as the contacts are now, bits of SPEC 6. */
  inputs = 0;
  private readonly marks: readonly Mark[];
  private readonly limits: readonly Limits[];
  private readonly liftTravelTicks: number;
  private liftTicks: number;
  private liftStuck = false;
  private forcedOn = 0;
  private forcedOff = 0;

  constructor(stand: Stand, start: StandingStart) {
    const { turntable, stroke, radial, lapTurn } = stand.axes;
    this.marks = [
      { input: INPUT_BITS.index, stepsPerTurn: turntable.stepsPerUnit, at: start.turntableTurns },
      { input: INPUT_BITS.lapTurnReference, stepsPerTurn: lapTurn.stepsPerUnit, at: start.lapTurns },
    ].map((mark) => ({ ...mark, at: wrapped(mark.at, 1) * mark.stepsPerTurn }));
    this.position[STROKE] = Math.round(start.strokeMm * stroke.stepsPerUnit);
    this.position[RADIAL] = Math.round(start.radialMm * radial.stepsPerUnit);
    const limitsOf = (axis: number, { min, max, stepsPerUnit }: Stand['axes']['stroke']) => ({
      axis,
      low: Math.floor(((min ?? Number.NEGATIVE_INFINITY) - LIMIT_MARGIN_MM) * stepsPerUnit),
      high: Math.ceil(((max ?? Number.POSITIVE_INFINITY) + LIMIT_MARGIN_MM) * stepsPerUnit),
    });
    this.limits = [
      { ...limitsOf(STROKE, stroke), lowInput: INPUT_BITS.strokeLow, highInput: INPUT_BITS.strokeHigh },
      { ...limitsOf(RADIAL, radial), lowInput: INPUT_BITS.radialLow, highInput: INPUT_BITS.radialHigh },
    ];
    this.liftTravelTicks = Math.round(stand.lift.travelSeconds * stand.tickHz);
    this.liftTicks = this.liftTravelTicks;
    this.compare();
  }

  /** 0 = lap down on the glass, 1 = lift all the way up. */
  get liftHeight(): number {
    return this.liftTicks / this.liftTravelTicks;
  }

  /** Turns past the mark, 0..1. */
  turnsPastMark(what: 'turntable' | 'lapTurn'): number {
    const { at, stepsPerTurn } = this.marks[what === 'turntable' ? 0 : 1]!;
    return at / stepsPerTurn;
  }

  /** Rising STEP edges of drives that have current: masks of axes, and of those whose DIR says negative. */
  step(mask: number, negative: number): void {
    for (let axis = 0; axis < AXIS_COUNT; axis++) {
      if ((mask & (1 << axis)) === 0) continue;
      const way = (negative & (1 << axis)) === 0 ? 1 : -1;
      this.position[axis]! += way;
      this.travel[axis]! += 1;
      const mark = axis === TURNTABLE ? this.marks[0] : axis === LAP_TURN ? this.marks[1] : undefined;
      if (mark !== undefined) mark.at = wrapped(mark.at + way, mark.stepsPerTurn);
    }
    this.compare();
  }

  /** One controller tick of what moves by itself. */
  tick(lower: boolean): void {
    if (this.liftStuck || this.liftTicks === (lower ? 0 : this.liftTravelTicks)) return;
    this.liftTicks += lower ? -1 : 1;
    this.compare();
  }

  /** Holds an input asserted or released whatever the mechanism does; null lets go of it. */
  force(input: keyof StandInputs, level: boolean | null): void {
    const bit = INPUT_BITS[input];
    this.forcedOn = level === true ? this.forcedOn | bit : this.forcedOn & ~bit;
    this.forcedOff = level === false ? this.forcedOff | bit : this.forcedOff & ~bit;
    this.compare();
  }

  /** Turns the table or the lap by so many degrees against its motor. */
  slip(what: 'turntable' | 'lapTurn', degrees: number): void {
    const mark = this.marks[what === 'turntable' ? 0 : 1]!;
    mark.at = wrapped(mark.at + (degrees / 360) * mark.stepsPerTurn, mark.stepsPerTurn);
    this.compare();
  }

  /** A slide moves by so many steps without its motor, as after steps that its motor missed. */
  push(slide: 'stroke' | 'radial', steps: number): void {
    this.position[slide === 'stroke' ? STROKE : RADIAL]! += steps;
    this.compare();
  }

  /** A stuck lift stays where it is. */
  stickLift(stuck: boolean): void {
    this.liftStuck = stuck;
  }

  private compare(): void {
    let inputs = this.forcedOn;
    for (const { at, stepsPerTurn, input } of this.marks) if (at < MARK_SHARE_OF_TURN * stepsPerTurn) inputs |= input;
    for (const { axis, low, high, lowInput, highInput } of this.limits) {
      if (this.position[axis]! <= low) inputs |= lowInput;
      if (this.position[axis]! >= high) inputs |= highInput;
    }
    if (this.liftTicks === this.liftTravelTicks) inputs |= INPUT_BITS.liftUp;
    if (this.liftTicks === 0) inputs |= INPUT_BITS.liftDown;
    if (this.liftTicks >= FREE_SHARE_OF_LIFT * this.liftTravelTicks) inputs |= INPUT_BITS.freeOfGlass;
    this.inputs = inputs & ~this.forcedOff;
  }
}

function wrapped(at: number, turn: number): number {
  return at >= turn ? at - turn : at < 0 ? at + turn : at;
}
