/**
 * Quadrature over the part of a lap's face that lies on the glass: rings about the lap's centre, on each ring the arcs
 * inside the glass's rim, outside its hole and, where contact is partial, on the pressed side of a straight line.
 *
 * Lap frame here: origin at the lap's centre, x pointing away from the turntable's axis, y along the tangent
 * (anticlockwise). Lengths in mm.
 */
import { type Face, ringShare } from './face';
import { gaussRule } from './gauss';

/** The polished ring of glass: inside the bevel, outside the hole. */
export interface GlassRing {
  rimMm: number;
  /** 0 without a hole. */
  holeMm: number;
}

/** A pressure that is linear over the face: p0 + gx x + gy y, per unit of load (1/mm2, 1/mm3). */
export interface LinearPressure {
  p0: number;
  gx: number;
  gy: number;
}

/** Nodes and weights; the weight holds area and the share of the ring that touches. */
export interface Nodes {
  count: number;
  x: Float64Array;
  y: Float64Array;
  weight: Float64Array;
}

/** Gauss nodes across a panel of rings and along an arc, even nodes on a whole circle. */
export interface Fineness {
  rings: number;
  arc: number;
  circle: number;
}

const FINE: Fineness = { rings: 10, arc: 10, circle: 24 };

/** Buffers that one solver uses again and again; a call overwrites what the call before returned. */
export class ContactRegion {
  private readonly nodes: Nodes;

  constructor(
    private readonly face: Face,
    private readonly glass: GlassRing,
    private readonly fineness = FINE,
  ) {
    // At most seven panels; on each ring a circle, or at most two arcs cut into two pieces each.
    const most = 7 * fineness.rings * Math.max(fineness.circle, 4 * fineness.arc);
    const empty = (): Float64Array => new Float64Array(most);
    this.nodes = { count: 0, x: empty(), y: empty(), weight: empty() };
  }

  /** Nodes over face and glass with the lap's centre at `centreMm`; with `pressed`, only where that pressure is positive. */
  over(centreMm: number, pressed: LinearPressure | null): Nodes {
    this.nodes.count = 0;
    const steep = pressed ? Math.hypot(pressed.gx, pressed.gy) : 0;
    const breaks = this.breaks(centreMm, pressed && steep > 0 ? Math.abs(pressed.p0) / steep : 0);
    const rule = gaussRule(this.fineness.rings);
    for (let i = 0; i + 1 < breaks.length; i++) {
      const from = breaks[i]!;
      const span = breaks[i + 1]! - from;
      for (let k = 0; k < rule.nodes.length; k++) {
        // Arcs begin and end like a square root of the distance from a break; this change of variable makes them smooth.
        const t = (rule.nodes[k]! + 1) / 2;
        const rho = from + span * t * t * (3 - 2 * t);
        const weight = (rule.weights[k]! / 2) * span * 6 * t * (1 - t) * rho * ringShare(this.face, rho);
        if (weight > 0) this.addRing(centreMm, rho, weight, pressed);
      }
    }
    return this.nodes;
  }

  /** Radii about the lap's centre where something about its rings changes. */
  private breaks(centreMm: number, pressedMm: number): number[] {
    const { rimMm, holeMm } = this.glass;
    const reachMm = this.face.reachMm;
    const inner = [this.face.wholeMm, Math.abs(rimMm - centreMm), rimMm + centreMm, pressedMm];
    if (holeMm > 0) inner.push(Math.abs(holeMm - centreMm), holeMm + centreMm);
    const kept = inner.filter((radius) => radius > 1e-9 && radius < reachMm - 1e-9);
    return [0, ...kept.sort((a, b) => a - b), reachMm].filter(
      (radius, i, all) => i === 0 || radius > all[i - 1]! + 1e-9,
    );
  }

  private addRing(centreMm: number, rho: number, weight: number, pressed: LinearPressure | null): void {
    // On the ring, the distance from the axis rises with cos(phi): inside the rim means phi beyond `fromRim`, outside the
    // hole means phi within `toHole`, mirrored below.
    const { rimMm, holeMm } = this.glass;
    const fromRim = angleAt(rimMm, centreMm, rho);
    const toHole = holeMm > 0 ? angleAt(holeMm, centreMm, rho) : Math.PI;
    if (fromRim >= toHole) return;
    if (fromRim === 0 && toHole === Math.PI) this.addPressed(-Math.PI, Math.PI, rho, weight, pressed);
    else if (fromRim === 0) this.addPressed(-toHole, toHole, rho, weight, pressed);
    else if (toHole === Math.PI) this.addPressed(fromRim, 2 * Math.PI - fromRim, rho, weight, pressed);
    else {
      this.addPressed(fromRim, toHole, rho, weight, pressed);
      this.addPressed(-toHole, -fromRim, rho, weight, pressed);
    }
  }

  private addPressed(from: number, to: number, rho: number, weight: number, pressed: LinearPressure | null): void {
    const steep = pressed ? Math.hypot(pressed.gx, pressed.gy) * rho : 0;
    if (!pressed || pressed.p0 >= steep) {
      this.addArc(from, to, rho, weight);
      return;
    }
    if (-pressed.p0 >= steep) return;
    const middle = Math.atan2(pressed.gy, pressed.gx);
    const half = Math.acos(-pressed.p0 / steep);
    for (let turn = -1; turn <= 1; turn++) {
      const begin = Math.max(from, middle - half + 2 * Math.PI * turn);
      const end = Math.min(to, middle + half + 2 * Math.PI * turn);
      if (end > begin) this.addArc(begin, end, rho, weight);
    }
  }

  private addArc(from: number, to: number, rho: number, weight: number): void {
    // Evenly spaced nodes are exact for low orders on a whole circle; on an arc Gauss's are.
    const whole = to - from > 2 * Math.PI - 1e-12;
    const count = whole ? this.fineness.circle : this.fineness.arc;
    const rule = gaussRule(this.fineness.arc);
    for (let k = 0; k < count; k++) {
      const place = whole ? (k + 0.5) / count : (rule.nodes[k]! + 1) / 2;
      const share = whole ? 1 / count : rule.weights[k]! / 2;
      this.add(rho, from + place * (to - from), weight * share * (to - from));
    }
  }

  private add(rho: number, angle: number, weight: number): void {
    const { nodes } = this;
    nodes.x[nodes.count] = rho * Math.cos(angle);
    nodes.y[nodes.count] = rho * Math.sin(angle);
    nodes.weight[nodes.count] = weight;
    nodes.count++;
  }
}

/** Angle on the lap's ring at which it crosses a circle about the axis; 0 when all of it lies inside, pi when none does. */
function angleAt(circleMm: number, centreMm: number, rho: number): number {
  const cosine = (circleMm ** 2 - centreMm ** 2 - rho ** 2) / (2 * centreMm * rho);
  if (cosine >= 1) return 0;
  if (cosine <= -1) return Math.PI;
  return centreMm > 0 ? Math.acos(cosine) : circleMm >= rho ? 0 : Math.PI;
}
