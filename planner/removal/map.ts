/**
 * The removal by radius and azimuth in the glass's frame. Strokes of one kind leave the same footprint turned to where round
 * the glass they fell, so order m of the map is order m of the footprint times the sum of exp(i m theta) over the strokes: whole
 * turns and even spreads cancel exactly, not by luck of stamping. Cost: one footprint a kind, then sums over orders.
 */
import { type Azimuths, azimuthTable, type Footprint, footprint } from './footprint';
import type { Rings } from './profile';
import type { Removal } from './removal';

const TURN = 2 * Math.PI;
/** A sum over strokes below this share of their number is rounding: the order is absent. */
const ABSENT = 1e-10;

/** Fourier orders of the depth round each ring: depth = sum over m >= 0 of re cos(m a) - im sin(m a), nm. */
export interface Orders {
  rings: Rings;
  highest: number;
  /** Index m x rings.count + ring. */
  re: Float64Array;
  im: Float64Array;
  /** Cells of azimuth that the orders were taken from: each is a mean over its cell. */
  azimuths: number;
}

export interface RemovalMap {
  rings: Rings;
  azimuths: number;
  /** Depth, nm, index ring x azimuths + azimuth cell; cell c is centred on c x 360/azimuths degrees. */
  depthNm: Float64Array;
}

/** Orders 0..highest of what all strokes together take off. */
export function removalOrders(removal: Removal, azimuths: number, highest: number): Orders {
  const { rings, kinds, points, face, scaleNm } = removal;
  const table = azimuthTable(azimuths);
  const orders: Orders = {
    rings,
    highest,
    azimuths,
    re: new Float64Array((highest + 1) * rings.count),
    im: new Float64Array((highest + 1) * rings.count),
  };
  kinds.forEach((_, kind) => {
    const sums = azimuthSums(removal, kind, highest);
    addFootprint(orders, footprint(points[kind]!, face, rings, table), table, sums, scaleNm);
  });
  return orders;
}

/** Sums of exp(i m theta) over the strokes of a kind, theta the turntable's angle at each stroke's begin. */
function azimuthSums(removal: Removal, kind: number, highest: number): { re: Float64Array; im: Float64Array } {
  const re = new Float64Array(highest + 1);
  const im = new Float64Array(highest + 1);
  let count = 0;
  for (const stroke of removal.strokes) {
    if (stroke.kind !== kind) continue;
    count++;
    const theta = TURN * (stroke.turntableTurns - Math.floor(stroke.turntableTurns));
    const stepRe = Math.cos(theta);
    const stepIm = Math.sin(theta);
    let a = 1;
    let b = 0;
    for (let m = 0; m <= highest; m++) {
      re[m]! += a;
      im[m]! += b;
      [a, b] = [a * stepRe - b * stepIm, a * stepIm + b * stepRe];
    }
  }
  for (let m = 0; m <= highest; m++) {
    if (Math.hypot(re[m]!, im[m]!) < ABSENT * count) re[m] = im[m] = 0;
  }
  return { re, im };
}

function addFootprint(
  orders: Orders,
  print: Footprint,
  table: Azimuths,
  sums: { re: Float64Array; im: Float64Array },
  scaleNm: number,
): void {
  const { count } = table;
  const present: number[] = [];
  for (let m = 0; m <= orders.highest; m++) if (sums.re[m] !== 0 || sums.im[m] !== 0) present.push(m);
  for (let i = 0; i < print.ringCount; i++) {
    const row = print.cells.subarray(i * count, (i + 1) * count);
    let first = 0;
    let last = count - 1;
    while (first <= last && row[first] === 0) first++;
    while (last > first && row[last] === 0) last--;
    if (first > last) continue;
    for (const m of present) {
      let re = 0;
      let im = 0;
      for (let c = first, turn = (m * first) % count; c <= last; c++) {
        re += row[c]! * table.cos[turn]!;
        im -= row[c]! * table.sin[turn]!;
        turn += m;
        if (turn >= count) turn -= count;
      }
      // Orders 1.. stand for themselves and for their mirror order, except the highest one the cells can tell.
      const fold = m === 0 || 2 * m === count ? 1 : 2;
      const at = m * orders.rings.count + print.firstRing + i;
      const factor = (fold * scaleNm) / count;
      orders.re[at]! += factor * (re * sums.re[m]! - im * sums.im[m]!);
      orders.im[at]! += factor * (re * sums.im[m]! + im * sums.re[m]!);
    }
  }
}

/** Amplitude of order m round each ring, nm: depth varies as amplitude x cos(m azimuth - phase). */
export function amplitudeNm(orders: Orders, m: number): Float64Array {
  const half = (m * Math.PI) / orders.azimuths;
  // A mean over a cell lowers order m by sin(half)/half.
  const lowered = m === 0 ? 1 : Math.sin(half) / half;
  return Float64Array.from({ length: orders.rings.count }, (_, j) => {
    const at = m * orders.rings.count + j;
    return Math.hypot(orders.re[at]!, orders.im[at]!) / lowered;
  });
}

/** The map from its orders. */
export function mapOf(orders: Orders): RemovalMap {
  const { rings, highest, azimuths } = orders;
  const table = azimuthTable(azimuths);
  const depthNm = new Float64Array(rings.count * azimuths);
  for (let m = 0; m <= highest; m++) {
    for (let j = 0; j < rings.count; j++) {
      const re = orders.re[m * rings.count + j]!;
      const im = orders.im[m * rings.count + j]!;
      if (re === 0 && im === 0) continue;
      const row = j * azimuths;
      for (let c = 0, turn = 0; c < azimuths; c++) {
        depthNm[row + c]! += re * table.cos[turn]! - im * table.sin[turn]!;
        turn += m;
        if (turn >= azimuths) turn -= azimuths;
      }
    }
  }
  return { rings, azimuths, depthNm };
}

/** Adds a map on coarser rings, straight between them. */
export function addMap(to: RemovalMap, from: RemovalMap): void {
  const { azimuths } = to;
  for (let j = 0; j < to.rings.count; j++) {
    const place = (j * to.rings.stepMm) / from.rings.stepMm;
    const ring = Math.min(from.rings.count - 1, Math.floor(place));
    const next = Math.min(from.rings.count - 1, ring + 1);
    const share = place - ring;
    for (let c = 0; c < azimuths; c++) {
      const here = from.depthNm[ring * azimuths + c]!;
      to.depthNm[j * azimuths + c]! += here + share * (from.depthNm[next * azimuths + c]! - here);
    }
  }
}

/** Mean of a map round each of its rings, nm. */
export function ringMeansNm({ rings, azimuths, depthNm }: RemovalMap): Float64Array {
  return Float64Array.from({ length: rings.count }, (_, j) => {
    let sum = 0;
    for (let c = 0; c < azimuths; c++) sum += depthNm[j * azimuths + c]!;
    return sum / azimuths;
  });
}
