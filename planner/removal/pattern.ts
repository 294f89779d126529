/**
 * The lap pattern: what facets and star points leave on the glass beyond the face's smooth share. The face is kept as a polar
 * picture of (touching / facet share) - ring share, turned to each orientation that the strokes of a kind had, and laid on the
 * glass where those strokes fell. Pressures are those of the smooth face, which has the same area.
 */
import type { Lap } from '../shelf/types';
import { type Face, ringShare } from './face';
import { touches } from './facets';
import { azimuthTable, eachCell, reachedRings } from './footprint';
import type { RemovalMap } from './map';
import type { Removal } from './removal';
import type { WorkPoint } from './work-points';

/** Cells of the face's picture: angles round the lap, and rings this far apart. */
const ANGLES = 720;
const RING_MM = 0.25;

interface FacePicture {
  rings: number;
  /** Index ring x ANGLES + angle. */
  excess: Float32Array;
}

/** Depth beyond that of the smooth face, nm, on the cells of a map; null for a plain round face, which leaves no pattern. */
export function lapPattern(removal: Removal, azimuths: number): RemovalMap | null {
  const { task, rings, kinds } = removal;
  if (!task.lap.facets && task.lap.outline.shape === 'round') return null;
  const picture = drawFace(task.lap, removal.face);
  const depthNm = new Float64Array(rings.count * azimuths);
  for (let kind = 0; kind < kinds.length; kind++) addKind(removal, kind, picture, azimuths, depthNm);
  return { rings, azimuths, depthNm };
}

function drawFace(lap: Lap, face: Face): FacePicture {
  const rings = Math.ceil(face.reachMm / RING_MM);
  const excess = new Float32Array(rings * ANGLES);
  // Each cell is probed at 3 x 3 places.
  for (let i = 0; i < rings; i++) {
    for (let j = 0; j < ANGLES; j++) {
      let sum = 0;
      for (let k = 0; k < 9; k++) {
        const rho = (i + ((k % 3) + 0.5) / 3) * RING_MM;
        const angle = ((j + (Math.floor(k / 3) + 0.5) / 3) / ANGLES) * 2 * Math.PI;
        const touching = touches(lap.outline, lap.facets, rho * Math.cos(angle), rho * Math.sin(angle));
        sum += (touching ? 1 / face.facetShare : 0) - ringShare(face, rho);
      }
      excess[i * ANGLES + j] = sum / 9;
    }
  }
  return { rings, excess };
}

function addKind(removal: Removal, kind: number, picture: FacePicture, azimuths: number, into: Float64Array): void {
  const { face, rings, scaleNm, strokes } = removal;
  const points = removal.points[kind]!;
  const traces = traceOf(points, face, rings, azimuths);
  const turned = new Map<number, number[]>();
  for (const stroke of strokes) {
    if (stroke.kind !== kind) continue;
    const angle = Math.round((stroke.lapTurns - Math.floor(stroke.lapTurns)) * ANGLES) % ANGLES;
    const list = turned.get(angle);
    if (list) list.push(stroke.from);
    else turned.set(angle, [stroke.from]);
  }
  const print = new Float64Array(traces.ringCount * azimuths);
  for (const [angle, begins] of turned) {
    print.fill(0);
    for (let i = 0; i < traces.count; i++) {
      let place = traces.angle[i]! - angle;
      if (place < 0) place += ANGLES;
      print[traces.cell[i]!]! += traces.weight[i]! * picture.excess[traces.row[i]! + place]!;
    }
    for (const from of begins) layAt(print, traces.firstRing, traces.ringCount, azimuths, from, scaleNm, into);
  }
}

interface Traces {
  firstRing: number;
  ringCount: number;
  count: number;
  cell: Int32Array;
  /** Start of the picture's row. */
  row: Int32Array;
  angle: Int16Array;
  weight: Float32Array;
}

/** Every cell that the stroke passes, with the place on the face (before the lap was turned) that passes it. */
function traceOf(points: readonly WorkPoint[], face: Face, rings: Removal['rings'], azimuths: number): Traces {
  const reached = reachedRings(points, face, rings);
  const table = azimuthTable(azimuths);
  const cell: number[] = [];
  const row: number[] = [];
  const angle: number[] = [];
  const weight: number[] = [];
  const lastRow = Math.ceil(face.reachMm / RING_MM) - 1;
  eachCell(points, face, rings, reached.first, table, (at, w, x, y, point) => {
    const turns = (Math.atan2(y, x) - points[point]!.lapAngle) / (2 * Math.PI);
    cell.push(at);
    row.push(Math.min(lastRow, Math.floor(Math.sqrt(x * x + y * y) / RING_MM)) * ANGLES);
    angle.push(Math.floor((turns - Math.floor(turns)) * ANGLES) % ANGLES);
    weight.push(w);
  });
  return {
    firstRing: reached.first,
    ringCount: reached.count,
    count: cell.length,
    cell: Int32Array.from(cell),
    row: Int32Array.from(row),
    angle: Int16Array.from(angle),
    weight: Float32Array.from(weight),
  };
}

/** Adds a footprint where a stroke fell; between two cells it is shared out, which keeps its volume. */
function layAt(
  print: Float64Array,
  firstRing: number,
  ringCount: number,
  azimuths: number,
  fromTurns: number,
  scaleNm: number,
  into: Float64Array,
): void {
  // A stroke begun with the glass turned by theta lies at azimuth - theta on it.
  const shift = -(fromTurns - Math.floor(fromTurns)) * azimuths;
  const whole = Math.floor(shift);
  const later = shift - whole;
  for (let i = 0; i < ringCount; i++) {
    const from = i * azimuths;
    const to = (firstRing + i) * azimuths;
    for (let c = 0; c < azimuths; c++) {
      const value = print[from + c]!;
      if (value === 0) continue;
      let at = (c + whole) % azimuths;
      if (at < 0) at += azimuths;
      into[to + at]! += value * scaleNm * (1 - later);
      into[to + (at + 1 === azimuths ? 0 : at + 1)]! += value * scaleNm * later;
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
