/**
 * Depth by radius, the mean round the glass. At each point of the path the lap covers an arc of every ring of glass; the
 * arc's ends are known exactly and the pressure times speed along it is summed by Gauss's rule. The mean does not depend on
 * where round the glass a stroke falls.
 */
import type { Face } from './face';
import { gaussRule } from './gauss';
import type { WorkPoint } from './work-points';

/**
 * Gauss rules for half an arc: short, where the lap's speed differs little over its face; short; long; where pressure or speed
 * bend sharply.
 */
const SHORT_ARC = 0.8;
/** Speed of the lap's centre over that which its spin gives its rim. */
const CALM_RATIO = 6;
const CALM = gaussRule(2);
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
  const arc = new ArcSum(face);
  for (const point of points) {
    const first = Math.max(0, Math.ceil((point.centreMm - face.reachMm) / rings.stepMm));
    const last = Math.min(rings.count - 1, Math.floor((point.centreMm + face.reachMm) / rings.stepMm));
    const share = point.turns / (2 * Math.PI);
    arc.at(point);
    for (let j = first; j <= last; j++) into[j]! += share * arc.over(j * rings.stepMm);
  }
}

/** nm of depth for one unit of (pressure per newton) x path [1/mm2 x mm]: Preston's dh = k p ds with p in Pa, ds in m. */
export function depthScaleNm(kPerPa: number, loadN: number): number {
  const paPerNewton = 1e6; // 1/mm2 -> Pa
  const nmPerMm = 1e6;
  return kPerPa * loadN * paPerNewton * nmPerMm;
}

/** Half the angle under which a circle of radius `discMm` round the lap's centre covers a ring of glass. */
export function halfArc(centreMm: number, radiusMm: number, discMm: number): number {
  if (centreMm + radiusMm <= discMm) return Math.PI;
  const cosine = (centreMm ** 2 + radiusMm ** 2 - discMm ** 2) / (2 * centreMm * radiusMm);
  return cosine >= 1 || Number.isNaN(cosine) ? 0 : cosine <= -1 ? Math.PI : Math.acos(cosine);
}

/** Integrals over the arc of a ring that a lap covers, of share x pressure x speed. */
class ArcSum {
  private readonly reachMm: number;
  private readonly wholeMm: number;
  private readonly thinning: number;
  private centreMm = 0;
  private uneven = false;
  private calm = false;
  // v^2 and p on a ring of radius r, at an angle from the lap's centre: constant parts, and factors of r cos and r sin.
  private v2 = 0;
  private spin2 = 0;
  private v2Cos = 0;
  private v2Sin = 0;
  private p = 0;
  private pCos = 0;
  private pSin = 0;

  constructor(face: Face) {
    this.reachMm = face.reachMm;
    this.wholeMm = face.wholeMm;
    this.thinning = face.wholeMm < face.reachMm ? 1 / (face.reachMm - face.wholeMm) : 0;
  }

  at({ centreMm, motion, pressure, uneven }: WorkPoint): void {
    const { out, spin } = motion;
    const along = motion.along - spin * centreMm;
    this.centreMm = centreMm;
    this.uneven = uneven;
    this.calm = Math.hypot(out, motion.along) > CALM_RATIO * Math.abs(spin) * this.reachMm;
    this.v2 = out * out + along * along;
    this.spin2 = spin * spin;
    this.v2Cos = 2 * spin * along;
    this.v2Sin = -2 * spin * out;
    this.p = pressure.p0 - pressure.gx * centreMm;
    this.pCos = pressure.gx;
    this.pSin = pressure.gy;
  }

  over(radiusMm: number): number {
    const outer = halfArc(this.centreMm, radiusMm, this.reachMm);
    if (outer <= 0) return 0;
    if (this.thinning === 0) return this.twoArcs(radiusMm, 0, outer, false);
    // The share of a star's ring bends where the notches end.
    const inner = halfArc(this.centreMm, radiusMm, this.wholeMm);
    const thinned = this.twoArcs(radiusMm, inner, outer, true);
    return inner > 0 ? thinned + this.twoArcs(radiusMm, 0, inner, false) : thinned;
  }

  /** Over the arc between two angles from the lap's centre and over its mirror image on the other side. */
  private twoArcs(radiusMm: number, from: number, to: number, thinned: boolean): number {
    const half = (to - from) / 2;
    const cosMiddle = Math.cos((from + to) / 2);
    const sinMiddle = Math.sin((from + to) / 2);
    const { nodes, weights } = this.uneven ? FINE : half > SHORT_ARC ? LONG : thinned || !this.calm ? SHORT : CALM;
    const count = nodes.length;
    let total = count % 2 === 1 ? weights[count >> 1]! * this.both(radiusMm, cosMiddle, sinMiddle, thinned) : 0;
    // Gauss's nodes come in pairs about the middle, which share a sine and a cosine.
    for (let k = (count + 1) >> 1; k < count; k++) {
      const cos = Math.cos(half * nodes[k]!);
      const sin = Math.sin(half * nodes[k]!);
      total +=
        weights[k]! *
        (this.both(radiusMm, cosMiddle * cos - sinMiddle * sin, sinMiddle * cos + cosMiddle * sin, thinned) +
          this.both(radiusMm, cosMiddle * cos + sinMiddle * sin, sinMiddle * cos - cosMiddle * sin, thinned));
    }
    return total * half;
  }

  /** Share x pressure x speed at an angle from the lap's centre, added up for both sides of it. */
  private both(radiusMm: number, cos: number, sin: number, thinned: boolean): number {
    const x = radiusMm * cos;
    const y = radiusMm * sin;
    const p = this.p + this.pCos * x;
    const pSide = this.pSin * y;
    const speed2 = this.v2 + this.spin2 * radiusMm * radiusMm + this.v2Cos * x;
    const speed2Side = this.v2Sin * y;
    // Rounding may leave a speed of nothing a little below it.
    const sum =
      Math.max(0, p + pSide) * Math.sqrt(Math.max(0, speed2 + speed2Side)) +
      Math.max(0, p - pSide) * Math.sqrt(Math.max(0, speed2 - speed2Side));
    if (!thinned) return sum;
    const fromCentre2 = this.centreMm * this.centreMm + radiusMm * radiusMm - 2 * this.centreMm * x;
    return sum * Math.max(0, this.reachMm - Math.sqrt(Math.max(0, fromCentre2))) * this.thinning;
  }
}
