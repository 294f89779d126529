/**
 * Judges a campaign's case from the mechanism alone: where the motors truly are after every slice of time, how high the lap is, and
 * who asked for what. Of the code under test it reads only the place a run is said to be at, and holds that against the motors.
 */
import type { Motion, StandTruth } from '../../firmware-host/virtual/virtual-stand';
import { AXES, type Stand } from '../../planner/stand/types';
import { stepsAtTurns } from '../../planner/steps/rounding';
import type { FaultyStand } from './faulty-stand';
import type { Planned } from './world';

/** Every axis from the path at every tick: 1 step from rounding, half a step from the sag of a segment. */
const BOUND_STEPS = 1.5;
/** A reference is latched at the tick its switch changes; what the index is off by less than this is taken for noise. */
const REFERENCE_STEPS = { turntable: 5, slide: 1.5, lapTurn: 3 };
const ROUNDING = 1e-6;
const TURNTABLE = 0;
const STROKE = 1;
const RADIAL = 2;
const LAP_TURN = 3;

interface Leg {
  /** Where the axes stood when the lap was down, less where the path then was; whole steps. */
  base: number[];
  turns: number;
  slipBefore: number;
  /** Steps of slip made good since, as last told: the queue of a host that is gone still holds them. */
  slip: number;
  /** Turns by which the path was further than the table when last looked at: what slipped and was made good. */
  aheadTurns: number;
}

/** What the host says of the run at one moment. */
export interface Said {
  turnsWalked: number;
  slipSteps: number;
}

export class Oracle {
  readonly violations: string[] = [];
  /** As far as the program has been walked with the lap on the glass, without a gap. */
  covered = 0;
  /** When the last step was seen, seconds of the simulation. */
  lastStepAt = 0;
  /** Pieces of the path that were walked twice, turns. */
  readonly doubled: number[] = [];
  private permitted = false;
  private restBy = Number.POSITIVE_INFINITY;
  private restFor = '';
  private leg: Leg | null = null;
  /** Where the host said that the walk begins or goes on. */
  private startTurns = 0;
  private overlapTurns = 0;
  private slipGivenSteps = 0;
  private readonly stand: Stand;
  private readonly shifted = [0, 0, 0, 0, 0];

  constructor(
    private readonly planned: Planned,
    virtual: FaultyStand,
    private readonly said: () => Said | null,
    private readonly now: () => number,
    /** False on the small board, which takes the lap as it was put on. */
    private readonly lapHasReference: boolean,
  ) {
    this.stand = planned.plan.stand;
    virtual.onMotion((motion) => this.watch(motion));
  }

  /** A person asked for motion, and the host agreed; a start brings the axes to where the walk goes on. */
  permit(startAtTurns: number | null): void {
    if (startAtTurns !== null) {
      this.leg = null;
      this.startTurns = startAtTurns;
    }
    this.permitted = true;
    this.restBy = Number.POSITIVE_INFINITY;
  }

  /** A person, or a fault, has made it stop: after so many seconds no step is made until a person asks again. */
  mustRest(withinSeconds: number, what: string): void {
    if (this.now() + withinSeconds >= this.restBy) return;
    this.restBy = this.now() + withinSeconds;
    this.restFor = what;
  }

  /** What was to make it stop was over before it had to. */
  restNoMore(): void {
    this.restBy = Number.POSITIVE_INFINITY;
  }

  /** The host says that it stands and waits for a person: from now on it does. */
  waits(): void {
    this.permitted = false;
  }

  /** A start from the beginning: nothing is walked yet. */
  begunAnew(): void {
    this.covered = 0;
  }

  /** Up to so many turns may be walked twice after what just happened. */
  mayOverlap(turns: number): void {
    this.overlapTurns = Math.max(this.overlapTurns, turns);
  }

  /** The table was turned against its motor. */
  slipped(steps: number): void {
    this.slipGivenSteps += Math.abs(steps);
  }

  /** All that the table was turned against its motor, both ways added. */
  get slippedDegrees(): number {
    return (this.slipGivenSteps / this.stand.axes.turntable.stepsPerUnit) * 360;
  }

  /** A slide was pushed by so many steps without its motor. */
  pushed(axis: number, steps: number): void {
    this.shifted[axis]! += steps;
    if (this.leg !== null) this.leg.base[axis]! += steps;
  }

  /** At Complete: the whole program, to the step. */
  complete(reportedTurns: number): void {
    const { turns } = this.planned.plan.path;
    const tolerance = (BOUND_STEPS + ROUNDING + this.slipGivenSteps) / this.stand.axes.turntable.stepsPerUnit;
    if (this.covered < turns - tolerance)
      this.complain(`complete, but walked on the glass only to turn ${this.covered.toFixed(6)} of ${turns}`);
    if (reportedTurns !== turns) this.complain(`complete at turn ${reportedTurns} of ${turns}`);
  }

  complain(words: string): void {
    if (this.violations.length < 10) this.violations.push(`${this.now().toFixed(3)} s: ${words}`);
  }

  private watch({ from, to }: Motion): void {
    const moved = AXES.some((_, axis) => from.steps[axis] !== to.steps[axis]);
    if (!moved) return;
    this.lastStepAt = this.now();
    if (!this.permitted) this.complain(`moved without a start by a person (${differences(from, to)})`);
    else if (this.now() > this.restBy) this.complain(`still moves after ${this.restFor} (${differences(from, to)})`);
    if (to.liftHeight === 1 && from.liftHeight === 1) return;
    // In the slice of its last step the lap may begin to rise.
    if (from.liftHeight !== 0) this.complain(`moved with the lap at ${from.liftHeight.toFixed(3)} of its height`);
    else this.onGlass(from, to);
  }

  private onGlass(from: StandTruth, to: StandTruth): void {
    this.leg ??= this.beginLeg(from);
    const { leg, planned, stand } = this;
    if (leg === null) return;
    const { stepsPerUnit } = stand.axes.turntable;
    leg.slip = Math.max(leg.slip, (this.said()?.slipSteps ?? 0) - leg.slipBefore);
    const { slip } = leg;
    const at = to.steps.map((steps, axis) => steps - leg.base[axis]!);
    const turns = at[TURNTABLE]! / stepsPerUnit;
    const off = placeOnPath(planned, at, turns, turns + leg.aheadTurns, BOUND_STEPS + slip);
    leg.aheadTurns = off.turns - turns;
    if (off.most > BOUND_STEPS + ROUNDING)
      this.complain(`${off.most.toFixed(2)} steps beside the path at turn ${off.turns.toFixed(5)} (${off.axis})`);
    const back =
      this.covered - off.turns - (2 * BOUND_STEPS + (this.said()?.slipSteps ?? 0) + this.slipGivenSteps) / stepsPerUnit;
    if (back > this.overlapTurns) this.complain(`turns walked ran back by ${back.toFixed(6)}`);
    const ahead = off.turns - this.covered;
    // A slice of 5 ms walks less than a three-hundredth of a turn.
    if (ahead > 0.01 + (2 * slip) / stepsPerUnit)
      this.complain(`turn ${this.covered.toFixed(4)} to ${off.turns.toFixed(4)} was left out`);
    this.covered = Math.max(this.covered, off.turns);
  }

  /** A slide that was pushed stands beside its place until its reference is found again. */
  private offReference(axis: number, off: number): number {
    if (Math.abs(off) <= REFERENCE_STEPS.slide) this.shifted[axis] = 0;
    return Math.abs(off - this.shifted[axis]!);
  }

  /** The lap is down and the first step is made: the axes stand where the host says the walk goes on. */
  private beginLeg(truth: StandTruth): Leg | null {
    const said = this.said();
    if (said === null) {
      this.complain('walks without a host');
      return null;
    }
    const { planned, stand } = this;
    const { turntable, lapTurn } = stand.axes;
    const turns = this.startTurns;
    const expected = stepsAtTurns(planned.plan.path, stand, turns);
    const base = truth.steps.map((steps, axis) => steps - expected[axis]!);
    const slides = Math.max(...[STROKE, RADIAL].map((axis) => this.offReference(axis, base[axis]!)));
    const wrapped = (past: number, axis: number, per: number): number => {
      const off = past * per - expected[axis]!;
      return Math.abs(off - Math.round(off / per) * per);
    };
    const table = wrapped(truth.turntableTurns, TURNTABLE, turntable.stepsPerUnit);
    const lap = wrapped(truth.lapTurns, LAP_TURN, lapTurn.stepsPerUnit);
    const { path } = planned.plan;
    if (slides > REFERENCE_STEPS.slide) this.complain(`a slide stands ${slides} steps from turn ${turns} of the path`);
    if (table > REFERENCE_STEPS.turntable + this.slipGivenSteps)
      this.complain(`the table stands ${table.toFixed(1)} steps from turn ${turns} by its index`);
    if (this.lapHasReference && lap > REFERENCE_STEPS.lapTurn)
      this.complain(`the lap stands ${lap.toFixed(1)} steps from turn ${turns}`);
    const tolerance = (3 + this.slipGivenSteps + said.slipSteps) / turntable.stepsPerUnit;
    if (turns > this.covered + tolerance)
      this.complain(`goes on from turn ${turns.toFixed(5)}, walked only to ${this.covered.toFixed(5)}`);
    const back = this.covered - turns;
    if (back > this.overlapTurns + tolerance)
      this.complain(`goes on from turn ${turns.toFixed(5)}, but was at ${this.covered.toFixed(5)} of ${path.turns}`);
    if (back > tolerance) this.doubled.push(back);
    this.covered = Math.min(this.covered, turns);
    if (back > tolerance) this.overlapTurns = 0;
    return { base, turns, slipBefore: said.slipSteps, slip: 0, aheadTurns: 0 };
  }
}

function exactSteps({ plan }: Planned, turns: number): number[] {
  const { turntable, stroke, radial, lapTurn } = plan.stand.axes;
  const { turntableTurns, xMm, yMm, lapTurns } = plan.path.at(turns);
  return [
    turntableTurns * turntable.stepsPerUnit,
    xMm * stroke.stepsPerUnit,
    yMm * radial.stepsPerUnit,
    lapTurns * lapTurn.stepsPerUnit,
  ];
}

/** How finely the path is searched, steps of the turntable. */
const SEARCH_STEPS = 0.25;

interface Place {
  /** Steps of the axis furthest from the path there. */
  most: number;
  turns: number;
  axis: string;
}

/**
 * Where on the path the axes are, the turntable within `tableSteps` of it: of the places that the other axes fit, the one nearest to
 * where it is expected. About a reversal of the stroke two places fit equally well, and only one of them follows from the place before.
 * Where none fits, the place that fits best.
 */
function placeOnPath(
  planned: Planned,
  at: readonly number[],
  tableTurns: number,
  expectedTurns: number,
  tableSteps: number,
): Place {
  const off = (u: number): Place => {
    const path = exactSteps(planned, u);
    let most = 0;
    let axis = 0;
    for (let i = STROKE; i <= LAP_TURN; i++) {
      const by = Math.abs(at[i]! - path[i]!);
      if (by > most) {
        most = by;
        axis = i;
      }
    }
    return { most, turns: u, axis: AXES[axis]! };
  };
  const { stepsPerUnit } = planned.plan.stand.axes.turntable;
  const low = tableTurns - tableSteps / stepsPerUnit;
  const high = Math.min(tableTurns + tableSteps / stepsPerUnit, planned.plan.path.turns);
  const within = (u: number): number => Math.max(low, Math.min(high, u));
  let best = off(within(expectedTurns));
  const look = (fromTurns: number, steps: number): void => {
    for (const away of [-steps, steps]) {
      const there = off(within(fromTurns + away / stepsPerUnit));
      if (there.most < best.most) best = there;
    }
  };
  for (let away = SEARCH_STEPS; best.most > BOUND_STEPS && away <= 2 * tableSteps; away += SEARCH_STEPS)
    look(expectedTurns, away);
  for (let step = SEARCH_STEPS / 2; best.most > BOUND_STEPS && step > 1e-3; step /= 2) look(best.turns, step);
  return best;
}

function differences(from: StandTruth, to: StandTruth): string {
  return AXES.flatMap((axis, i) => {
    const by = to.steps[i]! - from.steps[i]!;
    return by === 0 ? [] : [`${axis} ${by}`];
  }).join(', ');
}
