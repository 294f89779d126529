/**
 * Depth by radius, the mean round the glass. At each point of the path the lap covers an arc of every ring of glass; the
 * arc's ends are known exactly and the pressure times speed along it is summed by Gauss's rule. The mean does not depend on
 * where round the glass a stroke falls.
 */
import { type Face, ringShare } from './face';
import { gaussRule } from './gauss';
import type { WorkPoint } from './work-points';

/** Gauss rules for half an arc: short, long, and where pressure or speed bend sharply. */
const SHORT_ARC = 0.8;
const SHORT = gaussRule(3);
const LONG = gaussRule(8);
const FINE = gaussRule(16);

/** Rings of glass, radius in mm ascending and evenly spaced from 0. */
export interface Rings {
  stepMm: number;
  count: number;
}

export function radiiMm(rings: Rings): Float64Array {
  return Float64Array.from({ length: rings.count }, (_, j) => j * rings.stepMm);
}

/**
 * Adds to `into` what the points take off: the mean over the ring of (pressure per newton) x path, 1/mm. Times
 * `depthScaleNm` it is a depth.
 */
export function addProfile(points: readonly WorkPoint[], face: Face, rings: Rings, into: Float64Array): void {
  for (const point of points) {
    const first = Math.max(0, Math.ceil((point.centreMm - face.reachMm) / rings.stepMm));
    const last = Math.min(rings.count - 1, Math.floor((point.centreMm + face.reachMm) / rings.stepMm));
    for (let j = first; j <= last; j++) {
      const radiusMm = j * rings.stepMm;
      into[j]! += (point.turns / (2 * Math.PI)) * overArc(point, face, radiusMm);
    }
  }
}

/** nm of depth for one unit of (pressure per newton) x path [1/mm2 x mm]: Preston's dh = k p ds with p in Pa, ds in m. */
export function depthScaleNm(kPerPa: number, loadN: number): number {
  const paPerNewton = 1e6; // 1/mm2 -> Pa
  const nmPerMm = 1e6;
  return kPerPa * loadN * paPerNewton * nmPerMm;
}

/** Integral over the covered arc of share x pressure x speed. */
function overArc(point: WorkPoint, face: Face, radiusMm: number): number {
  const outer = halfArc(point.centreMm, radiusMm, face.reachMm);
  if (outer <= 0) return 0;
  if (face.wholeMm >= face.reachMm) return twoArcs(point, face, radiusMm, 0, outer);
  // The share of a star's ring bends where the notches end.
  const inner = halfArc(point.centreMm, radiusMm, face.wholeMm);
  const thinned = twoArcs(point, face, radiusMm, inner, outer);
  return inner > 0 ? thinned + twoArcs(point, face, radiusMm, 0, inner) : thinned;
}

/** Half the angle under which a circle of radius `discMm` round the lap's centre covers a ring of glass. */
export function halfArc(centreMm: number, radiusMm: number, discMm: number): number {
  if (centreMm + radiusMm <= discMm) return Math.PI;
  const cosine = (centreMm ** 2 + radiusMm ** 2 - discMm ** 2) / (2 * centreMm * radiusMm);
  return cosine >= 1 || Number.isNaN(cosine) ? 0 : cosine <= -1 ? Math.PI : Math.acos(cosine);
}

/** Over the arc between two angles from the lap's centre and over its mirror image on the other side. */
function twoArcs(point: WorkPoint, face: Face, radiusMm: number, from: number, to: number): number {
  const { centreMm, motion, pressure } = point;
  const { out, spin } = motion;
  // On the ring, p and v^2 are linear in the cosine and the sine of that angle.
  const along = motion.along - spin * centreMm;
  const v2 = out * out + along * along + spin * spin * radiusMm * radiusMm;
  const v2Cos = 2 * spin * radiusMm * along;
  const v2Sin = -2 * spin * radiusMm * out;
  const p0 = pressure.p0 - pressure.gx * centreMm;
  const pCos = pressure.gx * radiusMm;
  const pSin = pressure.gy * radiusMm;
  const thinning = face.wholeMm < face.reachMm;
  const half = (to - from) / 2;
  const middle = (from + to) / 2;
  const { nodes, weights } = point.uneven ? FINE : half > SHORT_ARC ? LONG : SHORT;
  let total = 0;
  for (let k = 0; k < nodes.length; k++) {
    const angle = middle + half * nodes[k]!;
    const cos = Math.cos(angle);
    const sin = Math.sin(angle);
    const p = p0 + pCos * cos;
    const speed2 = v2 + v2Cos * cos;
    // Rounding may leave a speed of nothing a little below it.
    const left = Math.max(0, p + pSin * sin) * Math.sqrt(Math.max(0, speed2 + v2Sin * sin));
    const right = Math.max(0, p - pSin * sin) * Math.sqrt(Math.max(0, speed2 - v2Sin * sin));
    const share = thinning ? ringShare(face, distance(centreMm, radiusMm, cos)) : 1;
    total += weights[k]! * share * (left + right);
  }
  return total * half;
}

function distance(centreMm: number, radiusMm: number, cos: number): number {
  return Math.sqrt(Math.max(0, centreMm * centreMm + radiusMm * radiusMm - 2 * centreMm * radiusMm * cos));
}
