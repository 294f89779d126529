/** Wears the glass along a path that was walked: the forecast's geometry, the hidden truth's pressure and coefficient. */
import type { Path } from '../../../planner/path/types';
import { addProfile, type Rings } from '../../../planner/removal/profile';
import { prepareRemoval, type Removal } from '../../../planner/removal/removal';
import type { StrokeKind } from '../../../planner/removal/strokes';
import { type WorkPoint, workPoints } from '../../../planner/removal/work-points';
import type { Glass, Lap } from '../../../planner/shelf/types';
import { coefficientAt, type GlassTruth } from './truth';

/** Shorter stretches of stroke than this share of a whole one are walked point by point all the same, but not fewer points. */
const FEWEST_POINTS = 6;
const POINT_STEP_MM = 2.5;

/** Everything about one path under one lap; keeps what whole strokes take off, for they come again by the hundred. */
export class PathWear {
  private readonly removal: Removal;
  private readonly wholeStrokes: (Float64Array | undefined)[] = [];

  /** @throws RemovalRefused where the lap cannot stand on the glass somewhere on the path */
  constructor(
    private readonly path: Path,
    private readonly lap: Lap,
    glass: Glass,
    private readonly truth: GlassTruth,
    rings: Rings,
  ) {
    // At 1 per Pa: the truth's coefficient changes on the way.
    const task = { path, lap, glass, kPerPa: 1, ringStepMm: rings.stepMm, pointStepMm: POINT_STEP_MM };
    this.removal = prepareRemoval(task);
  }

  /**
   * Depth by ring, nm, of what was walked between two places on the path.
   *
   * @param minutes how long the lap had worked when `fromTurns` was passed, and what a turn takes
   */
  between(fromTurns: number, toTurns: number, minutes: { before: number; perTurn: number }): Float64Array {
    const { strokes, kinds, rings } = this.removal;
    const depth = new Float64Array(rings.count);
    for (const { kind, from, to } of strokes) {
      const begin = Math.max(from, fromTurns);
      const end = Math.min(to, toTurns);
      if (end <= begin) continue;
      const whole = end - begin > (to - from) * (1 - 1e-9);
      const part = whole ? this.wholeStroke(kind) : this.stretch(begin, end, to - from, kinds[kind]!);
      const k = coefficientAt(this.truth, minutes.before + (begin - fromTurns) * minutes.perTurn);
      for (let j = 0; j < depth.length; j++) depth[j]! += k * part[j]!;
    }
    return depth;
  }

  private wholeStroke(kind: number): Float64Array {
    const known = this.wholeStrokes[kind];
    if (known) return known;
    const depth = this.over(this.removal.points[kind]!);
    this.wholeStrokes[kind] = depth;
    return depth;
  }

  private stretch(from: number, to: number, strokeTurns: number, { free, wayMm }: StrokeKind): Float64Array {
    const count = Math.max(FEWEST_POINTS, Math.ceil((((to - from) / strokeTurns) * wayMm) / POINT_STEP_MM));
    const points = workPoints(this.path, { from, to, count, free }, this.removal.solver);
    return 'tipsAtMm' in points ? new Float64Array(this.removal.rings.count) : this.over(points);
  }

  private over(points: readonly WorkPoint[]): Float64Array {
    const { face, rings, scaleNm, task } = this.removal;
    const { radialTilt, rim } = this.truth;
    const leaning = points.map((point) => {
      const { p0, gx, gy } = point.pressure;
      return { ...point, pressure: { p0, gx: gx + (radialTilt * p0) / face.reachMm, gy } };
    });
    const depth = new Float64Array(rings.count);
    addProfile(leaning, face, rings, depth);
    const rimMm = task.glass.diameterMm / 2;
    return depth.map((value, j) => {
      const inside = Math.max(0, rimMm - j * rings.stepMm);
      return value * scaleNm * (1 + rim.more * Math.exp(-inside / rim.overMm));
    });
  }

  get lapId(): string {
    return this.lap.id;
  }
}
