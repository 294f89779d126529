/** Fits the mechanism of a virtual board to a stand as the planner describes it. */
import { AXES, type Stand } from '../../planner/stand/types';
import type { TurnMark, VirtualBoard } from '../controller/wasm/load';

const TURNTABLE = 0;
const STROKE = 1;
const RADIAL = 2;
const LAP_TURN = 3;

/** Steps are cut this fine for marks on what turns: over 20,000 turns the index then errs by less than 0.02 step. */
const PARTS_PER_STEP = 2 ** 20;
/** A flag or magnet of two degrees passes the sensor of the index and of the lapTurn reference. */
export const MARK_SHARE_OF_TURN = 2 / 360;
/** Limit switches stand this far beyond the travel the planner may use. */
export const LIMIT_MARGIN_MM = 2;
/** Of the lift's travel the first quarter still has the pitch on the glass. */
export const FREE_SHARE_OF_LIFT = 0.25;

function markOf(stepsPerTurn: number, atTurns: number): TurnMark {
  const turn = BigInt(Math.round(stepsPerTurn * PARTS_PER_STEP));
  const share = (part: number): bigint => BigInt(Math.round(stepsPerTurn * PARTS_PER_STEP * part));
  const at = share(((atTurns % 1) + 1) % 1) % turn;
  return { turn, partsPerStep: PARTS_PER_STEP, width: share(MARK_SHARE_OF_TURN), at };
}

/** Where the mechanism is put before power on: the machine a person left, not where a program begins. */
export interface StandingStart {
  /** Azimuth of the turntable and of the lap past their marks, turns. */
  turntableTurns: number;
  lapTurns: number;
  /** Places of the slides in the stand's frame, mm. */
  strokeMm: number;
  radialMm: number;
}

/**
 * Fits marks, limit switches and lift, and puts the axes at `start`. Positions of slides are counted from the zero of the
 * stand's frame, those of what turns from where it starts.
 */
export function fitMechanism(board: VirtualBoard, stand: Stand, start: StandingStart): void {
  const { turntable, stroke, radial, lapTurn } = stand.axes;
  board.fitMark(TURNTABLE, markOf(turntable.stepsPerUnit, start.turntableTurns));
  board.fitMark(LAP_TURN, markOf(lapTurn.stepsPerUnit, start.lapTurns));
  board.place(STROKE, Math.round(start.strokeMm * stroke.stepsPerUnit));
  board.place(RADIAL, Math.round(start.radialMm * radial.stepsPerUnit));
  const slides = [
    [STROKE, stroke],
    [RADIAL, radial],
  ] as const;
  for (const [axis, { min, max, stepsPerUnit }] of slides) {
    if (min === undefined || max === undefined) continue;
    board.fitLimits(
      axis,
      Math.floor((min - LIMIT_MARGIN_MM) * stepsPerUnit),
      Math.ceil((max + LIMIT_MARGIN_MM) * stepsPerUnit),
    );
  }
  fitLift(board, stand, false);
}

export function fitLift(board: VirtualBoard, stand: Stand, stuck: boolean): void {
  const travelTicks = Math.round(stand.lift.travelSeconds * stand.tickHz);
  board.fitLift(travelTicks, Math.round(travelTicks * FREE_SHARE_OF_LIFT), stuck);
}

/** Turns the table, or the lap, by so many degrees against its motor. */
export function slip(board: VirtualBoard, stand: Stand, what: 'turntable' | 'lapTurn', degrees: number): void {
  const partsPerTurn = stand.axes[what].stepsPerUnit * PARTS_PER_STEP;
  const parts = BigInt(Math.round(((degrees % 360) / 360) * partsPerTurn));
  board.slip(what === 'turntable' ? TURNTABLE : LAP_TURN, parts);
}

/** Turns past the mark, 0..1, slip included. */
export function turnsPastMark(board: VirtualBoard, stand: Stand, what: 'turntable' | 'lapTurn'): number {
  const at = board.markAt(what === 'turntable' ? TURNTABLE : LAP_TURN);
  return Number(at) / (stand.axes[what].stepsPerUnit * PARTS_PER_STEP);
}

/** What each axis truly did, in wire order. */
export function eachAxis(read: (axis: number) => number): number[] {
  return AXES.map((_, axis) => read(axis));
}
