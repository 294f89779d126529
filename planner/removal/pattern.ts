/**
 * The lap pattern: what facets and star points leave on the glass beyond the face's smooth share. The face is kept as a polar
 * picture of (touching / facet share) - ring share; what it leaves in one stroke is computed for each orientation that the
 * strokes of a kind had, to the nearest degree, and laid on the glass where those strokes fell. Pressures are those of the
 * smooth face, which has the same area.
 */
import type { Lap } from '../shelf/types';
import { type Face, ringShare } from './face';
import { faceSymmetry, facetShare, touches } from './facets';
import { azimuthTable, CoveredCells, reachedRings } from './footprint';
import type { RemovalMap } from './map';
import type { Removal } from './removal';
import { type FacePicture, Trace } from './trace';
import { type WorkPoint, workPoints } from './work-points';

/** Depth beyond that of the smooth face, nm; null for a plain round face, which leaves no pattern. */
export function lapPattern(removal: Removal, azimuths: number): RemovalMap | null {
  const { task, kinds, face } = removal;
  if (!task.lap.facets && task.lap.outline.shape === 'round') return null;
  const stepMm = removal.rings.stepMm * COARSER;
  const rings = { stepMm, count: Math.floor((removal.rings.count - 1) / COARSER) + 1 };
  const picture = drawFace(task.lap, face);
  const table = azimuthTable(azimuths);
  const covered = new CoveredCells(face, rings, table);
  const trace = new Trace(picture);
  const depthNm = new Float64Array(rings.count * azimuths);
  for (let kind = 0; kind < kinds.length; kind++) {
    const points = finePoints(removal, kind);
    const { first, count } = reachedRings(points, face, rings);
    trace.clear();
    for (const point of points) {
      covered.under(point, first);
      trace.add(covered, point.lapAngle);
    }
    const print = new Print(first, count, azimuths);
    for (const [angle, falls] of orientations(removal, kind)) {
      print.cells.fill(0);
      trace.leave(angle, print.cells);
      print.layAt(falls, removal.scaleNm, depthNm);
    }
  }
  return { rings, azimuths, depthNm };
}

/** Points closer than the profile of a star needs: marks of single points would be missed between them. */
function finePoints({ task, kinds, points, solver }: Removal, kind: number): readonly WorkPoint[] {
  const { from, to, free, wayMm } = kinds[kind]!;
  const count = Math.ceil(wayMm / POINT_STEP_MM);
  if (points[kind]!.length >= count) return points[kind]!;
  const found = workPoints(task.path, { from, to, free, count }, solver);
  return 'tipsAtMm' in found ? points[kind]! : found;
}

const POINT_STEP_MM = 1.6;

/** The pattern's rings lie this much further apart than the removal's; facets and channels are wider than both. */
const COARSER = 2;

/** Cells of the face's picture: angles round the lap, and rings this far apart. */
const ANGLES = 720;
const RING_MM = 0.5;

function drawFace(lap: Lap, face: Face): FacePicture {
  const rings = Math.ceil(face.reachMm / RING_MM);
  const excess = new Float32Array(rings * ANGLES);
  const proud = 1 / facetShare(lap);
  // Each cell is probed at 3 x 2 places.
  for (let i = 0; i < rings; i++) {
    for (let k = 0; k < 3; k++) {
      const rho = (i + (k + 0.5) / 3) * RING_MM;
      const smooth = ringShare(face, rho);
      for (let j = 0; j < 2 * ANGLES; j++) {
        const angle = ((j + 0.5) / (2 * ANGLES)) * 2 * Math.PI;
        const touching = touches(lap.outline, lap.facets, rho, angle) ? proud : 0;
        excess[i * ANGLES + (j >> 1)]! += (touching - smooth) / 6;
      }
    }
  }
  const firstExcess = excess.findIndex((value) => Math.abs(value) > 1e-6);
  const firstRing = Math.floor(Math.max(0, firstExcess) / ANGLES);
  return { angles: ANGLES, ringMm: RING_MM, rings, firstRing, excess };
}

/** Where round the glass strokes fell (turns of the turntable at their begin, without the whole turns), and how many on each place. */
type Falls = Map<number, number>;

/**
 * The orientations that the strokes of a kind had, as angles of the picture, and where those strokes fell. Where there are
 * more than one every `LARGEST_STEP_DEG`, each counts in part for the two such steps it lies between.
 */
function orientations(removal: Removal, kind: number): Map<number, Falls> {
  const symmetry = faceSymmetry(removal.task.lap);
  const strokes = removal.strokes.filter((stroke) => stroke.kind === kind);
  const angleOf = (lapTurns: number): number => {
    const turns = lapTurns * symmetry;
    return ((turns - Math.floor(turns)) / symmetry) * ANGLES;
  };
  const whole = new Set(strokes.map(({ lapTurns }) => Math.round(angleOf(lapTurns))));
  const steps = Math.ceil(360 / symmetry / LARGEST_STEP_DEG);
  const step = whole.size <= steps ? 1 : ANGLES / symmetry / steps;
  const found = new Map<number, Falls>();
  for (const { lapTurns, turntableTurns } of strokes) {
    const at = step === 1 ? Math.round(angleOf(lapTurns)) : angleOf(lapTurns) / step;
    const later = at - Math.floor(at);
    const place = Math.round((turntableTurns - Math.floor(turntableTurns)) * SAME_PLACE) / SAME_PLACE;
    for (const [before, times] of [
      [0, 1 - later],
      [1, later],
    ] as const) {
      if (times < NEGLIGIBLE) continue;
      const angle = Math.round(((Math.floor(at) + before) * step) % (ANGLES / symmetry)) % ANGLES;
      const falls = found.get(angle) ?? new Map<number, number>();
      found.set(angle, falls);
      falls.set(place, (falls.get(place) ?? 0) + times);
    }
  }
  return found;
}

const LARGEST_STEP_DEG = 3;
const NEGLIGIBLE = 1e-6;
/** Strokes that fall closer than this part of a turn count as one place. */
const SAME_PLACE = 1e9;

/** What one stroke leaves, ring by ring. */
class Print {
  readonly cells: Float64Array;
  /** One ring, twice round and a cell: shifted rows need not be wrapped. */
  private readonly unrolled: Float64Array;

  constructor(
    private readonly firstRing: number,
    private readonly ringCount: number,
    private readonly azimuths: number,
  ) {
    this.cells = new Float64Array(ringCount * azimuths);
    this.unrolled = new Float64Array(2 * azimuths + 1);
  }

  /** Adds the print wherever strokes fell; between two cells it is shared out, which keeps its volume. */
  layAt(falls: Falls, scaleNm: number, into: Float64Array): void {
    const { cells, firstRing, ringCount, azimuths, unrolled } = this;
    for (let i = 0; i < ringCount; i++) {
      const row = cells.subarray(i * azimuths, (i + 1) * azimuths);
      let first = 0;
      let last = azimuths - 1;
      while (first <= last && row[first] === 0) first++;
      while (last > first && row[last] === 0) last--;
      if (first > last) continue;
      unrolled.fill(0);
      for (const [place, times] of falls) {
        // A stroke begun with the glass turned by theta lies at azimuth - theta on it.
        const shift = (1 - place) * azimuths;
        const whole = Math.floor(shift);
        const later = times * (shift - whole);
        const here = times - later;
        let before = 0;
        for (let c = first; c <= last; c++) {
          const value = row[c]!;
          unrolled[c + whole]! += value * here + before * later;
          before = value;
        }
        unrolled[last + whole + 1]! += before * later;
      }
      const to = (firstRing + i) * azimuths;
      for (let c = 0; c < unrolled.length; c++) into[to + (c % azimuths)]! += unrolled[c]! * scaleNm;
    }
  }
}

/** Peak to valley of the pattern, nm. */
export function peakToValleyNm(pattern: RemovalMap | null): number {
  if (!pattern) return 0;
  let [low, high] = [0, 0];
  for (const value of pattern.depthNm) {
    if (value < low) low = value;
    if (value > high) high = value;
  }
  return high - low;
}
