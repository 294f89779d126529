/**
 * What one stroke takes off, ring by ring and azimuth by azimuth, in the glass's frame as it lay when the stroke began.
 * Cells are means over their azimuth: a ring's arc is cut exactly at the lap's rim.
 */
import { type Face, ringShare } from './face';
import { halfArc, type Rings } from './profile';
import type { WorkPoint } from './work-points';

/** Rows of azimuth cells; cell c is centred on azimuth c x 2 pi/azimuths. */
export interface Footprint {
  firstRing: number;
  ringCount: number;
  azimuths: number;
  /** (pressure per newton) x path, 1/mm: ring by ring. */
  cells: Float64Array;
}

/** What a footprint is weighed with where the lap touches: called with (cell index, weight, point, ring, azimuth cell). */
export interface Azimuths {
  count: number;
  cos: Float64Array;
  sin: Float64Array;
}

export function azimuthTable(count: number): Azimuths {
  const angle = (_: unknown, c: number): number => (2 * Math.PI * c) / count;
  return {
    count,
    cos: Float64Array.from({ length: count }, (_, c) => Math.cos(angle(_, c))),
    sin: Float64Array.from({ length: count }, (_, c) => Math.sin(angle(_, c))),
  };
}

/** The rings that the points reach. */
export function reachedRings(points: readonly WorkPoint[], face: Face, rings: Rings): { first: number; count: number } {
  let inner = Number.POSITIVE_INFINITY;
  let outer = 0;
  for (const { centreMm } of points) {
    inner = Math.min(inner, centreMm - face.reachMm);
    outer = Math.max(outer, centreMm + face.reachMm);
  }
  const first = Math.max(0, Math.ceil(inner / rings.stepMm));
  return { first, count: Math.max(0, Math.min(rings.count - 1, Math.floor(outer / rings.stepMm)) - first + 1) };
}

export function footprint(points: readonly WorkPoint[], face: Face, rings: Rings, azimuths: Azimuths): Footprint {
  const reached = reachedRings(points, face, rings);
  const cells = new Float64Array(reached.count * azimuths.count);
  const thinning = face.wholeMm < face.reachMm;
  eachCell(points, face, rings, reached.first, azimuths, (cell, weight, x, y) => {
    cells[cell]! += thinning ? weight * ringShare(face, Math.sqrt(x * x + y * y)) : weight;
  });
  return { firstRing: reached.first, ringCount: reached.count, azimuths: azimuths.count, cells };
}

/**
 * Calls `visit(cell, weight, x, y, point)` for every cell under the outline: weight = covered share of the cell x pressure x
 * path; x, y from the lap's centre in the glass's frame, mm.
 */
export function eachCell(
  points: readonly WorkPoint[],
  face: Face,
  rings: Rings,
  firstRing: number,
  azimuths: Azimuths,
  visit: (cell: number, weight: number, x: number, y: number, point: number) => void,
): void {
  const width = (2 * Math.PI) / azimuths.count;
  for (let i = 0; i < points.length; i++) {
    const point = points[i]!;
    const { centreMm, azimuth, motion, pressure } = point;
    const cosC = Math.cos(azimuth);
    const sinC = Math.sin(azimuth);
    const cx = centreMm * cosC;
    const cy = centreMm * sinC;
    // The same linear laws as in ./profile, turned into the glass's frame: v = (vx - spin y, vy + spin x).
    const vx = motion.out * cosC - motion.along * sinC;
    const vy = motion.out * sinC + motion.along * cosC;
    const gx = pressure.gx * cosC - pressure.gy * sinC;
    const gy = pressure.gx * sinC + pressure.gy * cosC;
    const first = Math.max(0, Math.ceil((centreMm - face.reachMm) / rings.stepMm));
    const last = Math.min(rings.count - 1, Math.floor((centreMm + face.reachMm) / rings.stepMm));
    for (let j = first; j <= last; j++) {
      const radiusMm = j * rings.stepMm;
      const half = halfArc(centreMm, radiusMm, face.reachMm);
      if (half <= 0) continue;
      const row = (j - firstRing) * azimuths.count;
      const whole = half >= Math.PI;
      const begin = whole ? -0.5 : (azimuth - half) / width;
      const end = whole ? azimuths.count - 0.5 : (azimuth + half) / width;
      const lastCell = Math.ceil(end - 0.5);
      for (let c = Math.floor(begin + 0.5); c <= lastCell; c++) {
        const covered = Math.min(end, c + 0.5) - Math.max(begin, c - 0.5);
        if (covered <= 0) continue;
        let cell = c % azimuths.count;
        if (cell < 0) cell += azimuths.count;
        const x = radiusMm * azimuths.cos[cell]! - cx;
        const y = radiusMm * azimuths.sin[cell]! - cy;
        const p = pressure.p0 + gx * x + gy * y;
        if (p <= 0) continue;
        const ux = vx - motion.spin * y;
        const uy = vy + motion.spin * x;
        visit(row + cell, covered * p * Math.sqrt(ux * ux + uy * uy) * point.turns, x, y, i);
      }
    }
  }
}
