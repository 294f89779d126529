/**
 * Judges the turntable by its index. The controller latches every edge of the index as a place on the path; on a table that does not
 * slip it lies on a whole turn. By how much it does not is measured each turn. What slips within the stand's tolerance is made good
 * over the next segments, a step in each at most, and counted. More than that, a sensor that bounces, one that something else sets
 * off, one that is stuck and an edge that stays away are told apart, and are for a person to look at.
 */

import type { Stand } from '../../planner/stand/types';
import { SEGMENT_BYTES } from '../../planner/steps/segment';

const TURNTABLE = 0;
/** Sampling at two ticks, rounding of step and place: less than this many steps is no slip. */
const NOISE_STEPS = 4;
/** An edge further off than this many tolerances is none of the index: no table slips so far in a turn, but a sensor can be disturbed. */
const STRAY_TOLERANCES = 20;
/** An edge this close behind the index is the same mark seen again. */
const BOUNCE_TURNS = 0.01;
/** A walk that starts at the index may see it once more, or not, within this share of a turn. */
const START_TURNS = 0.02;
/** A mark is a few degrees wide at most; a sensor that shows it for longer than this is stuck. */
const WIDEST_MARK_TURNS = 0.2;

export type IndexFault = 'missing' | 'stuck' | 'slipped' | 'bounces' | 'stray';

/** What a person must look at; `words` complete "Waiting for a person: ...". */
export interface IndexTrouble {
  fault: IndexFault;
  words: string;
}

/** How far off the table was at the index of a turn; positive: behind where the path has it. */
export interface MeasuredSlip {
  turn: number;
  degrees: number;
}

export class IndexWatch {
  /** Steps made good so far, both ways added. */
  corrected = 0;
  /** At the last index. */
  measured: MeasuredSlip | null = null;
  private lastCount: number | null = null;
  private nextTurn: number;
  /** The whole turn whose index stayed away. */
  private missed: number | null = null;
  /** Steps still to be added to (or, negative, left out of) the turntable's way. */
  private owed = 0;
  /** By how much the edge was late that was taken for the last index. */
  private takenLate = 0;
  /** Turns walked when the sensor began to show what it shows now. */
  private shownSince: number | null = null;
  /** Before that, turns, the index it begins at may be seen once more. */
  private readonly watchedFrom: number;
  private readonly stepsPerTurn: number;
  private readonly toleranceTurns: number;

  constructor(stand: Stand, fromTurns: number) {
    this.stepsPerTurn = stand.axes.turntable.stepsPerUnit;
    this.toleranceTurns = stand.indexToleranceDeg / 360;
    const beginsAt = Math.floor(fromTurns + START_TURNS);
    this.nextTurn = beginsAt + 1;
    this.watchedFrom = Math.max(fromTurns, beginsAt + START_TURNS);
  }

  /** A report: edges counted so far, steps of the turntable at the last one (null: not in this walk), turns walked, and the sensor. */
  report(count: number, edgeSteps: number | null, turnsWalked: number, shows: boolean): IndexTrouble | null {
    const edges = this.lastCount === null ? 0 : count - this.lastCount;
    this.lastCount = count;
    this.shownSince = shows ? (this.shownSince ?? turnsWalked) : null;
    if (edges > 0 && edgeSteps !== null) return this.edge(edges, edgeSteps);
    if (turnsWalked <= this.nextTurn + this.toleranceTurns) return null;
    this.missed = this.nextTurn;
    this.nextTurn = Math.floor(turnsWalked) + 1;
    const late = `the index did not come within ${degrees(this.toleranceTurns)} of turn ${this.missed}`;
    if (this.shownSince !== null && turnsWalked - this.shownSince > WIDEST_MARK_TURNS)
      return {
        fault: 'stuck',
        words: `${late}, its sensor is stuck: it has shown the mark since turn ${this.shownSince.toFixed(2)}`,
      };
    return { fault: 'missing', words: late };
  }

  private edge(edges: number, edgeSteps: number): IndexTrouble | null {
    const turns = edgeSteps / this.stepsPerTurn;
    if (turns < this.watchedFrom) return null;
    const whole = Math.round(turns);
    const late = Math.round(edgeSteps - whole * this.stepsPerTurn);
    if (edges > 1) return { fault: 'bounces', words: `the index bounces: it came ${edges} times at once` };
    // A person has been told of this one; now it is known by how much.
    const told = whole === this.missed;
    if (whole < this.nextTurn && !told) {
      // Nearer than the edge taken before: that one was the disturbance, and what it seemed to ask for is not made good.
      const nearer = whole === this.nextTurn - 1 && Math.abs(late) < Math.abs(this.takenLate) - NOISE_STEPS;
      if (nearer) this.taken(whole, late);
      const after = `the index came once more, ${degrees(turns - whole)} after turn ${whole}`;
      if (nearer) return { fault: 'stray', words: `${after}: what came before it was a disturbance` };
      return Math.abs(turns - whole) < BOUNCE_TURNS
        ? { fault: 'bounces', words: `${after}: it bounces` }
        : { fault: 'stray', words: after };
    }
    if (Math.abs(late) > STRAY_TOLERANCES * this.toleranceTurns * this.stepsPerTurn)
      return {
        fault: 'stray',
        words: `the index came where none belongs, ${degrees(turns - Math.floor(turns))} after turn ${Math.floor(turns)}`,
      };
    this.nextTurn = Math.max(this.nextTurn, whole + 1);
    this.missed = null;
    this.taken(whole, late);
    if (Math.abs(late) <= this.toleranceTurns * this.stepsPerTurn) return null;
    const by = `${degrees(Math.abs(late) / this.stepsPerTurn)} ${late > 0 ? 'late' : 'early'}`;
    return { fault: 'slipped', words: `the turntable slipped, the index came ${by} at turn ${whole}` };
  }

  /** This is where the table was. */
  private taken(turn: number, late: number): void {
    this.takenLate = late;
    this.owed = Math.abs(late) < NOISE_STEPS ? 0 : late;
    this.measured = { turn, degrees: (late / this.stepsPerTurn) * 360 };
  }

  /** The segments as they go to the stand: one step of the turntable more, or fewer, in each until nothing is owed. */
  correct(segments: Uint8Array): Uint8Array {
    if (this.owed === 0) return segments;
    const out = segments.slice();
    for (let offset = 0; offset < out.length && this.owed !== 0; offset += SEGMENT_BYTES) {
      const backward = (out[offset + 2]! & (1 << TURNTABLE)) !== 0;
      const resting = out[offset + 1] !== 0;
      const steps = out[offset + 3 + TURNTABLE]!;
      const wanted = steps + Math.sign(this.owed);
      // A table that hardly moves is left alone: its next steps may turn round.
      if (backward || resting || steps < 2 || 2 * wanted > out[offset]!) continue;
      out[offset + 3 + TURNTABLE] = wanted;
      this.owed -= Math.sign(this.owed);
      this.corrected++;
    }
    return out;
  }
}

function degrees(turns: number): string {
  return `${(turns * 360).toFixed(2)} degrees`;
}
