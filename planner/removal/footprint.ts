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
  const covered = new CoveredCells(face, rings, azimuths);
  const thinning = face.wholeMm < face.reachMm;
  for (const point of points) {
    covered.under(point, reached.first);
    const { cell, weight, x, y } = covered;
    for (let i = 0; i < covered.count; i++) {
      const share = thinning ? ringShare(face, Math.sqrt(x[i]! * x[i]! + y[i]! * y[i]!)) : 1;
      cells[cell[i]!]! += weight[i]! * share;
    }
  }
  return { firstRing: reached.first, ringCount: reached.count, azimuths: azimuths.count, cells };
}

/** The cells of glass under the outline of a lap; overwritten by the next call. */
export class CoveredCells {
  count = 0;
  readonly cell: Int32Array;
  /** Covered share of the cell x pressure x path of the point. */
  readonly weight: Float64Array;
  /** From the lap's centre to the cell's middle, in the glass's frame, mm. */
  readonly x: Float64Array;
  readonly y: Float64Array;

  constructor(
    private readonly face: Face,
    private readonly rings: Rings,
    private readonly azimuths: Azimuths,
  ) {
    // One ring more than the lap is wide; a ring that is cut in one cell on both sides counts that cell twice.
    const size = (Math.ceil((2 * face.reachMm) / rings.stepMm) + 2) * (azimuths.count + 1);
    this.cell = new Int32Array(size);
    this.weight = new Float64Array(size);
    this.x = new Float64Array(size);
    this.y = new Float64Array(size);
  }

  /** Fills the lists for one point of the path; rows of cells are counted from `firstRing`. */
  under(point: WorkPoint, firstRing: number): void {
    const { face, rings, azimuths, cell: cells, weight: weights, x: xs, y: ys } = this;
    const { centreMm, azimuth, pressure, turns } = point;
    const { spin } = point.motion;
    const { p0 } = pressure;
    const { cos, sin, count: around } = azimuths;
    const width = (2 * Math.PI) / around;
    const cosC = Math.cos(azimuth);
    const sinC = Math.sin(azimuth);
    const cx = centreMm * cosC;
    const cy = centreMm * sinC;
    // The laws of ./profile, turned into the glass's frame: v = (vx - spin y, vy + spin x), p = p0 + gx x + gy y.
    const vx = point.motion.out * cosC - point.motion.along * sinC;
    const vy = point.motion.out * sinC + point.motion.along * cosC;
    const gx = pressure.gx * cosC - pressure.gy * sinC;
    const gy = pressure.gx * sinC + pressure.gy * cosC;
    const first = Math.max(0, Math.ceil((centreMm - face.reachMm) / rings.stepMm));
    const last = Math.min(rings.count - 1, Math.floor((centreMm + face.reachMm) / rings.stepMm));
    let n = 0;
    for (let j = first; j <= last; j++) {
      const radiusMm = j * rings.stepMm;
      const half = halfArc(centreMm, radiusMm, face.reachMm);
      if (half <= 0) continue;
      const row = (j - firstRing) * around;
      const whole = half >= Math.PI;
      const begin = whole ? -0.5 : (azimuth - half) / width;
      const end = whole ? around - 0.5 : (azimuth + half) / width;
      const lastCell = Math.ceil(end - 0.5);
      for (let c = Math.floor(begin + 0.5); c <= lastCell; c++) {
        const covered = Math.min(end, c + 0.5) - Math.max(begin, c - 0.5);
        if (covered <= 0) continue;
        let cell = c % around;
        if (cell < 0) cell += around;
        const x = radiusMm * cos[cell]! - cx;
        const y = radiusMm * sin[cell]! - cy;
        const p = p0 + gx * x + gy * y;
        if (p <= 0) continue;
        const ux = vx - spin * y;
        const uy = vy + spin * x;
        cells[n] = row + cell;
        weights[n] = covered * p * Math.sqrt(ux * ux + uy * uy) * turns;
        xs[n] = x;
        ys[n] = y;
        n++;
      }
    }
    this.count = n;
  }
}
