/** What a lap with a hidden truth takes off: the forecast's geometry, the truth's lean, rim and coefficient. */
import type { Path } from '../../../planner/path/types';
import { checkWork } from '../../../planner/removal/check-work';
import { ContactSolver } from '../../../planner/removal/contact';
import { type Face, lapFace, loadN } from '../../../planner/removal/face';
import { depthScaleNm, type Rings } from '../../../planner/removal/profile';
import { RemovalRefused } from '../../../planner/removal/refusal';
import { polishedRing } from '../../../planner/removal/removal';
import { type Stroke, type StrokeKind, splitStrokes } from '../../../planner/removal/strokes';
import { type WorkPoint, workPoints } from '../../../planner/removal/work-points';
import type { Glass, Lap } from '../../../planner/shelf/types';
import { addBites } from './bite';
import { addTurned, emptyMap, type RoundMap } from './round';
import { coefficientAt, type GlassTruth } from './truth';

/** Largest way of the lap between two points that stand for it. */
export const POINT_STEP_MM = 2.5;
/** Shorter stretches of stroke are walked in the same points, but not fewer. */
const FEWEST_POINTS = 6;
const TURN = 2 * Math.PI;

/** A lap on a glass: what its points take off, nm at a coefficient of 1 per Pa. */
export class Wear {
  readonly solver: ContactSolver;
  private readonly face: Face;
  private readonly scaleNm: number;
  private readonly rimFactor: Float64Array;

  constructor(
    lap: Lap,
    glass: Glass,
    private readonly truth: GlassTruth,
    readonly rings: Rings,
  ) {
    this.face = lapFace(lap);
    this.solver = new ContactSolver({
      face: this.face,
      glass: polishedRing(glass),
      frictionHeightMm: lap.friction * lap.pivotHeightMm,
      law: 'balanced',
    });
    this.scaleNm = depthScaleNm(1, loadN(lap));
    const { more, overMm } = truth.rim;
    this.rimFactor = Float64Array.from({ length: rings.count }, (_, j) => {
      const inside = Math.max(0, glass.diameterMm / 2 - j * rings.stepMm);
      return this.scaleNm * (1 + more * Math.exp(-inside / overMm));
    });
  }

  /** Adds what the points take off, with their own azimuths. */
  over(points: readonly WorkPoint[]): RoundMap {
    const { face, rings, rimFactor, truth } = this;
    const leaning = points.map((point) => {
      const { p0, gx, gy } = point.pressure;
      return { ...point, pressure: { p0, gx: gx + (truth.radialTilt * p0) / face.reachMm, gy } };
    });
    const depth = emptyMap(rings);
    addBites(leaning, face, rings, depth);
    for (let i = 0; i < depth.length; i++) depth[i]! *= rimFactor[i % rings.count]!;
    return depth;
  }
}

/** Everything about one path under one lap; keeps what whole strokes take off, for they come again by the hundred. */
export class PathWear {
  readonly wear: Wear;
  readonly strokes: readonly Stroke[];
  private readonly kinds: readonly StrokeKind[];
  private readonly whole: (RoundMap | undefined)[] = [];

  /** @throws RemovalRefused where lap or glass cannot be */
  constructor(
    readonly path: Path,
    lap: Lap,
    glass: Glass,
    private readonly truth: GlassTruth,
    rings: Rings,
  ) {
    const reasons = checkWork({ path, lap, glass, kPerPa: truth.kPerPa, ringStepMm: rings.stepMm });
    if (reasons.length > 0) throw new RemovalRefused(reasons);
    this.wear = new Wear(lap, glass, truth, rings);
    ({ kinds: this.kinds, strokes: this.strokes } = splitStrokes(path, lap, path.turns));
  }

  /**
   * Depth, nm, of what was walked between two places on the path.
   *
   * @param minutes how long the lap had worked when `fromTurns` was passed, and what a turn takes
   */
  between(fromTurns: number, toTurns: number, minutes: { before: number; perTurn: number }): RoundMap {
    const depth = emptyMap(this.wear.rings);
    for (const stroke of this.strokes) {
      const begin = Math.max(stroke.from, fromTurns);
      const end = Math.min(stroke.to, toTurns);
      if (end <= begin) continue;
      const k = coefficientAt(this.truth, minutes.before + (begin - fromTurns) * minutes.perTurn);
      const whole = end - begin > (stroke.to - stroke.from) * (1 - 1e-9);
      const part = whole ? this.wholeStroke(stroke) : this.stretch(stroke, begin, end);
      const turned = whole ? stroke.turntableTurns : this.path.at(begin).turntableTurns;
      addTurned(depth, part, -TURN * turned, k);
    }
    return depth;
  }

  /** One stroke as planned, at 1 per Pa; azimuths from where the glass stood when it began. */
  wholeStroke({ kind }: Stroke): RoundMap {
    const known = this.whole[kind];
    if (known) return known;
    const { from, to, free, wayMm } = this.kinds[kind]!;
    const depth = this.points(from, to, free, wayMm);
    this.whole[kind] = depth;
    return depth;
  }

  /** Whether friction turns the lap in a stroke. */
  isFree({ kind }: Stroke): boolean {
    return this.kinds[kind]!.free;
  }

  private stretch({ kind, from, to }: Stroke, begin: number, end: number): RoundMap {
    const { free, wayMm } = this.kinds[kind]!;
    return this.points(begin, end, free, (wayMm * (end - begin)) / (to - from));
  }

  private points(from: number, to: number, free: boolean, wayMm: number): RoundMap {
    const count = Math.max(FEWEST_POINTS, Math.ceil(wayMm / POINT_STEP_MM));
    const points = workPoints(this.path, { from, to, count, free }, this.wear.solver);
    // A lap that tips stands on its edge: what it does then nobody can say, and it is left out.
    return 'tipsAtMm' in points ? emptyMap(this.wear.rings) : this.wear.over(points);
  }
}
