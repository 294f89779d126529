/**
 * What a lap takes off where it rubs: pressure x way over the arc of each ring that it covers, as mean and orders round the glass. Each
 * arc is cut exactly at the lap's rim and summed by Gauss's rule. Written apart from the forecast's own sums, so that one checks the
 * other; lap and balance of pressure are the forecast's.
 */
import { type Face, ringShare } from '../../../planner/removal/face';
import { type GaussRule, gaussRule } from '../../../planner/removal/gauss';
import { halfArc, type Rings } from '../../../planner/removal/profile';
import type { WorkPoint } from '../../../planner/removal/work-points';
import { HIGHEST_ORDER, type RoundMap } from './round';

/** Half an arc longer than this (radians), or pressure that is cut off under the lap, wants the finer rule. */
const SHORT_ARC = 0.8;
const SHORT = gaussRule(6);
const LONG = gaussRule(16);

/** Adds to `into` what the points take off, (pressure per newton) x way, 1/mm; azimuths as the points have them. */
export function addBites(points: readonly WorkPoint[], face: Face, rings: Rings, into: RoundMap): void {
  const sums = new Float64Array(2 * HIGHEST_ORDER + 1);
  for (const point of points) {
    const { centreMm, azimuth, turns } = point;
    const first = Math.max(0, Math.ceil((centreMm - face.reachMm) / rings.stepMm));
    const last = Math.min(rings.count - 1, Math.floor((centreMm + face.reachMm) / rings.stepMm));
    const turn = Array.from({ length: HIGHEST_ORDER + 1 }, (_, m) => [Math.cos(m * azimuth), Math.sin(m * azimuth)]);
    for (let j = first; j <= last; j++) {
      if (!arcSums(point, face, j * rings.stepMm, sums)) continue;
      into[j]! += (turns / (2 * Math.PI)) * sums[0]!;
      for (let m = 1; m <= HIGHEST_ORDER; m++) {
        const [cos, sin] = turn[m]! as [number, number];
        const a = (turns / Math.PI) * sums[2 * m - 1]!;
        const b = (turns / Math.PI) * sums[2 * m]!;
        into[(2 * m - 1) * rings.count + j]! += a * cos - b * sin;
        into[2 * m * rings.count + j]! += a * sin + b * cos;
      }
    }
  }
}

/** Integrals over the arc of pressure x speed x (1, cos m psi, sin m psi), psi from the lap's centre; false where it has no arc. */
function arcSums(point: WorkPoint, face: Face, radiusMm: number, sums: Float64Array): boolean {
  const outer = halfArc(point.centreMm, radiusMm, face.reachMm);
  if (outer <= 0) return false;
  sums.fill(0);
  // The share of a star's ring bends where its notches end.
  const inner = face.wholeMm < face.reachMm ? halfArc(point.centreMm, radiusMm, face.wholeMm) : outer;
  if (inner > 0) addArc(point, face, radiusMm, 0, inner, sums);
  if (inner < outer) addArc(point, face, radiusMm, inner, outer, sums);
  return true;
}

/** Over the arc between two angles and its mirror image. */
function addArc(point: WorkPoint, face: Face, radiusMm: number, from: number, to: number, sums: Float64Array): void {
  const { centreMm, motion, pressure, uneven } = point;
  const { nodes, weights }: GaussRule = uneven || to - from > SHORT_ARC ? LONG : SHORT;
  const half = (to - from) / 2;
  for (let k = 0; k < nodes.length; k++) {
    const psi = from + half * (1 + nodes[k]!);
    const cos = Math.cos(psi);
    const sin = Math.sin(psi);
    const x = radiusMm * cos - centreMm;
    const y = radiusMm * sin;
    const share = half * weights[k]! * ringShare(face, Math.sqrt(x * x + y * y));
    if (share === 0) continue;
    const u = motion.along + motion.spin * x;
    const left = pressure.p0 + pressure.gx * x + pressure.gy * y;
    const right = left - 2 * pressure.gy * y;
    const d1 = left > 0 ? share * left * Math.hypot(motion.out - motion.spin * y, u) : 0;
    const d2 = right > 0 ? share * right * Math.hypot(motion.out + motion.spin * y, u) : 0;
    const even = d1 + d2;
    const odd = d1 - d2;
    sums[0]! += even;
    let c = cos;
    let s = sin;
    for (let m = 1; m <= HIGHEST_ORDER; m++) {
      sums[2 * m - 1]! += even * c;
      sums[2 * m]! += odd * s;
      [c, s] = [c * cos - s * sin, s * cos + c * sin];
    }
  }
}
