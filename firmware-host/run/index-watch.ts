/**
 * Judges the turntable by its index. The controller latches every edge of the index as a place on the path; on a table that does not
 * slip it lies on a whole turn. What slips within the stand's tolerance is made good over the next segments and counted; more than
 * that, an edge too many or one that stays away is for a person to look at.
 */

import type { Stand } from '../../planner/stand/types';
import { SEGMENT_BYTES } from '../../planner/steps/segment';

const TURNTABLE = 0;
/** Sampling at two ticks, rounding of step and place: less than this many steps is no slip. */
const NOISE_STEPS = 4;
/** An edge further off than this many tolerances is none of the index: no table slips so far in a turn, but a sensor can be disturbed. */
const STRAY_TOLERANCES = 20;
/** A walk that starts at the index may see it once more, or not, within this share of a turn. */
const START_TURNS = 0.02;

export class IndexWatch {
  /** Steps made good so far, both ways added. */
  corrected = 0;
  private lastCount: number | null = null;
  private nextTurn: number;
  /** The whole turn whose index stayed away. */
  private missed: number | null = null;
  /** Steps still to be added to (or, negative, left out of) the turntable's way. */
  private owed = 0;
  /** By how much the edge was late that was taken for the last index. */
  private takenLate = 0;
  private readonly stepsPerTurn: number;
  private readonly toleranceTurns: number;

  constructor(
    stand: Stand,
    private readonly fromTurns: number,
  ) {
    this.stepsPerTurn = stand.axes.turntable.stepsPerUnit;
    this.toleranceTurns = stand.indexToleranceDeg / 360;
    this.nextTurn = Math.floor(fromTurns + START_TURNS) + 1;
  }

  /**
   * A report: edges counted so far, steps of the turntable at the last one (null: not in this walk), turns walked now. Returns
   * what a person must look at, completing "Waiting for a person: ...", or null.
   */
  report(count: number, edgeSteps: number | null, turnsWalked: number): string | null {
    const edges = this.lastCount === null ? 0 : count - this.lastCount;
    this.lastCount = count;
    if (edges > 0 && edgeSteps !== null) return this.edge(edges, edgeSteps);
    if (turnsWalked > this.nextTurn + this.toleranceTurns) {
      this.missed = this.nextTurn;
      this.nextTurn = Math.floor(turnsWalked) + 1;
      return `the index did not come within ${degrees(this.toleranceTurns)} of turn ${this.missed}`;
    }
    return null;
  }

  private edge(edges: number, edgeSteps: number): string | null {
    const turns = edgeSteps / this.stepsPerTurn;
    if (turns - this.fromTurns < START_TURNS) return null;
    const whole = Math.round(turns);
    const late = Math.round(edgeSteps - whole * this.stepsPerTurn);
    if (edges > 1) return `the index came ${edges} times at once`;
    // A person has been told of this one; now it is known by how much.
    const told = whole === this.missed;
    if (whole < this.nextTurn && !told) {
      // Nearer than the edge taken before: that one was the disturbance, and what it seemed to ask for is not made good.
      if (whole === this.nextTurn - 1 && Math.abs(late) < Math.abs(this.takenLate)) {
        this.owed = Math.abs(late) < NOISE_STEPS ? 0 : late;
        this.takenLate = late;
      }
      return `the index came once more, ${degrees(turns - whole)} after turn ${whole}`;
    }
    if (Math.abs(late) > STRAY_TOLERANCES * this.toleranceTurns * this.stepsPerTurn)
      return `the index came where none belongs, ${degrees(turns - Math.floor(turns))} after turn ${Math.floor(turns)}`;
    this.nextTurn = whole + 1;
    this.takenLate = late;
    if (Math.abs(late) < NOISE_STEPS) return null;
    this.owed = late;
    if (told || Math.abs(late) <= this.toleranceTurns * this.stepsPerTurn) return null;
    return `the index came ${degrees(Math.abs(late) / this.stepsPerTurn)} ${late > 0 ? 'late' : 'early'} at turn ${whole}`;
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
