/**
 * What a path takes off a glass. The path is sorted into kinds of strokes (./strokes), each kind is computed once, and a
 * stint, a program or a part of one is a sum over kinds: the mean profile counts them, the map turns them to where they fall.
 */
import type { Glass } from '../shelf/types';
import { checkWork } from './check-work';
import { ContactSolver } from './contact';
import type { GlassRing } from './contact-region';
import { type Face, lapFace, loadN } from './face';
import { addProfile, depthScaleNm, type Rings } from './profile';
import { RemovalRefused } from './refusal';
import { type RemovalTask, RING_STEP_MM } from './removal-task';
import { type Stroke, type StrokeKind, splitStrokes } from './strokes';
import { refuseTipping } from './tipping';
import { type WorkPoint, workPoints } from './work-points';

const POINT_STEP_MM = 1.25;
const POINT_STEP_STAR_MM = 3.3;
const FEWEST_POINTS = 48;

/** All that was prepared for one path; sums of it are cheap. */
export interface Removal {
  readonly task: RemovalTask;
  readonly face: Face;
  readonly rings: Rings;
  readonly kinds: readonly StrokeKind[];
  readonly strokes: readonly Stroke[];
  /** Points of each kind. */
  readonly points: readonly (readonly WorkPoint[])[];
  /** Mean profile of one stroke of each kind, nm. */
  readonly kindProfilesNm: readonly Float64Array[];
  readonly solver: ContactSolver;
  /** nm for one unit of (pressure per newton) x path. */
  readonly scaleNm: number;
}

/**
 * @throws RemovalRefused with every reason found: a lap that cannot be, one that tips, a path that never meets the glass
 */
export function prepareRemoval(task: RemovalTask): Removal {
  const reasons = checkWork(task);
  if (reasons.length > 0) throw new RemovalRefused(reasons);
  const { path, lap, glass } = task;
  const face = lapFace(lap);
  const ring = polishedRing(glass);
  const settings = {
    face,
    glass: ring,
    frictionHeightMm: lap.friction * lap.pivotHeightMm,
    law: task.pressureLaw ?? 'balanced',
  };
  const solver = new ContactSolver(settings);
  const stepMm = task.ringStepMm ?? RING_STEP_MM;
  const rings = { stepMm, count: Math.floor(ring.rimMm / stepMm + 1e-9) + 1 };
  const { kinds, strokes } = splitStrokes(path, lap, Math.min(path.turns, task.untilTurns ?? path.turns));
  const lost = kinds.find(({ wayMm }) => !Number.isFinite(wayMm));
  if (lost) {
    const message = `The path is not a place at ${lost.from.toFixed(2)} turns: a setting, length or width is not a number. Give one.`;
    throw new RemovalRefused([{ field: 'path', message }]);
  }
  const pointStepMm = task.pointStepMm ?? (face.wholeMm < face.reachMm ? POINT_STEP_STAR_MM : POINT_STEP_MM);
  const points = kinds.map(({ from, to, free, wayMm }, kind) => {
    const count = Math.max(FEWEST_POINTS, Math.ceil(wayMm / pointStepMm));
    const found = workPoints(path, { from, to, count, free }, solver);
    if ('tipsAtMm' in found)
      throw refuseTipping(
        found,
        settings,
        path,
        strokes.find((stroke) => stroke.kind === kind),
      );
    return found;
  });
  const scaleNm = depthScaleNm(task.kPerPa, loadN(lap));
  const kindProfilesNm = kindProfiles(points, face, rings).map((profile) => profile.map((value) => value * scaleNm));
  return { task, face, rings, kinds, strokes, points, kindProfilesNm, solver, scaleNm };
}

/**
 * Mean profiles of kinds of strokes, per newton. Kinds have much of their way in common (a clocked stroke differs from a plain one
 * only while the lap turns): points that take off the same are computed once.
 */
function kindProfiles(points: readonly (readonly WorkPoint[])[], face: Face, rings: Rings): Float64Array[] {
  const profiles = points.map(() => new Float64Array(rings.count));
  for (const { alike, kinds } of sharedPoints(points)) {
    const profile = new Float64Array(rings.count);
    addProfile(alike, face, rings, profile);
    for (const kind of kinds) {
      const total = profiles[kind]!;
      for (let j = 0; j < rings.count; j++) total[j]! += profile[j]!;
    }
  }
  return profiles;
}

/** Points sorted by the kinds that have them, at the same share of the stroke, in common. */
function sharedPoints(points: readonly (readonly WorkPoint[])[]): Iterable<{ alike: WorkPoint[]; kinds: number[] }> {
  const groups = new Map<string, { alike: WorkPoint[]; kinds: number[] }>();
  const taken = points.map((ofKind) => new Uint8Array(ofKind.length));
  points.forEach((ofKind, kind) => {
    ofKind.forEach((point, i) => {
      if (taken[kind]![i]) return;
      const kinds = [kind];
      for (let other = kind + 1; other < points.length; other++) {
        if (points[other]!.length !== ofKind.length || taken[other]![i] || !takesAlike(point, points[other]![i]!))
          continue;
        taken[other]![i] = 1;
        kinds.push(other);
      }
      const key = kinds.join();
      const group = groups.get(key);
      if (group) group.alike.push(point);
      else groups.set(key, { alike: [point], kinds });
    });
  });
  return groups.values();
}

/** Whether two points add the same to a mean profile, to a millionth of a millimetre (pressure follows from the rest). */
function takesAlike(a: WorkPoint, b: WorkPoint): boolean {
  return (
    Math.abs(a.centreMm - b.centreMm) < 1e-6 &&
    Math.abs(a.motion.spin - b.motion.spin) < 1e-6 &&
    Math.abs(a.motion.out - b.motion.out) < 1e-6 &&
    Math.abs(a.motion.along - b.motion.along) < 1e-6 &&
    Math.abs(a.turns - b.turns) < 1e-12
  );
}

/** Glass that the lap can touch: up to the bevels of rim and hole. */
export function polishedRing(glass: Glass): GlassRing {
  return {
    rimMm: glass.diameterMm / 2 - glass.bevelMm,
    holeMm: glass.holeMm > 0 ? glass.holeMm / 2 + glass.bevelMm : 0,
  };
}

/** The same work with the strokes of one stint alone: for its own map, orders and lap pattern. */
export function onlyStint(removal: Removal, stint: number): Removal {
  return { ...removal, strokes: removal.strokes.filter((stroke) => stroke.stint === stint) };
}

/** Mean profile of the strokes of one stint, or of all, nm by ring. */
export function profileNm(removal: Removal, stint?: number): Float64Array {
  const counts = new Float64Array(removal.kinds.length);
  for (const stroke of removal.strokes) if (stint === undefined || stroke.stint === stint) counts[stroke.kind]! += 1;
  const total = new Float64Array(removal.rings.count);
  removal.kindProfilesNm.forEach((profile, kind) => {
    const count = counts[kind]!;
    if (count > 0) for (let j = 0; j < total.length; j++) total[j]! += count * profile[j]!;
  });
  return total;
}
