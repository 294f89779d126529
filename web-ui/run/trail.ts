/**
 * Where the lap's centre has been on the glass: points in the glass's own frame, one ring of them, the newest turns only. Sampled
 * from the path itself and not from what arrived over the wire, so a lost message leaves no gap and no chord.
 */
import { type Path, PLACE } from '../../planner/path/types';

const KEEP_TURNS = 3;
const POINTS_PER_STROKE = 40;
const MOST_POINTS = 6_000;

export class Trail {
  /** x, y pairs in mm, glass frame; `count` of them, the oldest at `start`. */
  readonly points = new Float32Array(2 * MOST_POINTS);
  start = 0;
  count = 0;
  private sampledTo = 0;
  private readonly stepTurns: number;
  private readonly place = new Float64Array(8);

  constructor(private readonly path: Path) {
    const strokes = path.stints.reduce((sum, stint) => sum + stint.geared.strokes, 0);
    this.stepTurns = path.turns / Math.max(1, strokes * POINTS_PER_STROKE);
  }

  /** Brings the trail up to `turns`; a jump back (a run begun anew) or far ahead starts it afresh. */
  walkTo(turns: number): void {
    if (turns < this.sampledTo - this.stepTurns || turns > this.sampledTo + KEEP_TURNS) {
      this.count = 0;
      this.start = 0;
      this.sampledTo = Math.max(0, turns - KEEP_TURNS);
    }
    while (this.sampledTo + this.stepTurns <= turns) {
      this.sampledTo += this.stepTurns;
      this.add(this.sampledTo);
    }
    const most = Math.min(MOST_POINTS, Math.ceil(KEEP_TURNS / this.stepTurns));
    while (this.count > most) {
      this.start = (this.start + 1) % MOST_POINTS;
      this.count--;
    }
  }

  private add(turns: number): void {
    this.path.sample(turns, this.place);
    const angle = -2 * Math.PI * this.place[PLACE.turntableTurns]!;
    const x = this.place[PLACE.xMm]!;
    const y = this.place[PLACE.yMm]!;
    const at = 2 * ((this.start + this.count) % MOST_POINTS);
    this.points[at] = x * Math.cos(angle) - y * Math.sin(angle);
    this.points[at + 1] = x * Math.sin(angle) + y * Math.cos(angle);
    if (this.count < MOST_POINTS) this.count++;
    else this.start = (this.start + 1) % MOST_POINTS;
  }
}
