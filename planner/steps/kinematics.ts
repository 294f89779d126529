/**
 * Kinematics: from a place of the lap to the joints of the stand to steps, and back. Only this file knows how the stand is
 * built; whoever builds another one (an arm on a pivot, say) writes a second `Kinematics` and chooses it in `kinematicsOf`.
 */
import { PLACE, PLACE_SIZE } from '../path/types';
import { AXIS_COUNT, type Stand } from '../stand/types';

/** Steps of every axis in the order of `AXES`, counted from the stand's zero; the turntable from the program's start. */
export type StepCounts = readonly number[];

export interface Kinematics {
  /**
   * Fills out[0..4] with the place in steps of each axis, not rounded. `place` is in the order of `PLACE` (turns, mm).
   * Allocates nothing: the compiler calls it several times a segment.
   */
  stepsAt(place: Float64Array, out: Float64Array): void;
  /**
   * Fills out[0..4] with the first and out[5..9] with the second derivative of the steps by turns walked, from those of the
   * place (in the order that `Path.derivatives` fills). The checker bounds the sag with it.
   */
  derivativesAt(place: Float64Array, derivatives: Float64Array, out: Float64Array): void;
  /** The inverse: fills out[0..3] with the place at which the axes stand after `steps`. */
  placeAt(steps: ArrayLike<number>, out: Float64Array): void;
}

/**
 * Two slides over a turntable: the stroke slide carries the lap along the tangent (x), the radial slide along the radius (y),
 * the lap's own axis turns it. Each joint is one coordinate of the place, so steps = coordinate x steps per unit.
 */
class TwoSlides implements Kinematics {
  private readonly perTurn: number;
  private readonly strokePerMm: number;
  private readonly radialPerMm: number;
  private readonly perLapTurn: number;

  constructor(stand: Stand) {
    this.perTurn = stand.axes.turntable.stepsPerUnit;
    this.strokePerMm = stand.axes.stroke.stepsPerUnit;
    this.radialPerMm = stand.axes.radial.stepsPerUnit;
    this.perLapTurn = stand.axes.lapTurn.stepsPerUnit;
  }

  stepsAt(place: Float64Array, out: Float64Array): void {
    out[0] = place[PLACE.turntableTurns]! * this.perTurn;
    out[1] = place[PLACE.xMm]! * this.strokePerMm;
    out[2] = place[PLACE.yMm]! * this.radialPerMm;
    out[3] = place[PLACE.lapTurns]! * this.perLapTurn;
    out[4] = 0;
  }

  derivativesAt(_place: Float64Array, derivatives: Float64Array, out: Float64Array): void {
    for (let order = 0; order < 2; order++) {
      const from = order * PLACE_SIZE;
      const to = order * AXIS_COUNT;
      out[to] = derivatives[from + PLACE.turntableTurns]! * this.perTurn;
      out[to + 1] = derivatives[from + PLACE.xMm]! * this.strokePerMm;
      out[to + 2] = derivatives[from + PLACE.yMm]! * this.radialPerMm;
      out[to + 3] = derivatives[from + PLACE.lapTurns]! * this.perLapTurn;
      out[to + 4] = 0;
    }
  }

  placeAt(steps: ArrayLike<number>, out: Float64Array): void {
    out[PLACE.turntableTurns] = steps[0]! / this.perTurn;
    out[PLACE.xMm] = steps[1]! / this.strokePerMm;
    out[PLACE.yMm] = steps[2]! / this.radialPerMm;
    out[PLACE.lapTurns] = steps[3]! / this.perLapTurn;
  }
}

/** The kinematics of a stand. There is one kind so far. */
export function kinematicsOf(stand: Stand): Kinematics {
  return new TwoSlides(stand);
}
