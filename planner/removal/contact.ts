/**
 * How a stiff lap presses: a pressure that is linear over the face, never negative, and in balance with the load at the
 * lap's centre and with the moment of friction, which the arm takes at the height of the pivot. No glass, no contact: where
 * the lap hangs over the rim or the hole, and where the balance would ask for a pull, nothing presses.
 *
 * Frame and units as in ./contact-region; everything per newton of load. Balance of forces and moments of a rigid plate:
 *   int p dA = 1,   int x p dA = mu h int p (v/|v|)_x dA,   int y p dA = mu h int p (v/|v|)_y dA
 * with v the velocity of the lap over the glass: friction holds the face back, the pivot pushes above it, so the leading
 * side presses more. Wholly on the glass that is 4 mu h/a at the rim of a round lap.
 */
import { ContactRegion, type GlassRing, type LinearPressure, type Nodes } from './contact-region';
import type { Face } from './face';

/** Velocity of the lap over the glass, mm per turn: v(x, y) = (out - spin y, along + spin x). */
export interface RelativeMotion {
  out: number;
  along: number;
  /** Of the lap against the turntable, radians per turn. */
  spin: number;
}

export type PressureLaw = 'balanced' | 'uniform (not physical)';

export interface ContactSettings {
  face: Face;
  glass: GlassRing;
  /** mu h, mm: friction times the height of the pivot. */
  frictionHeightMm: number;
  law: PressureLaw;
}

/** Wholly on the glass only the direction of friction is left to sum, which is smooth but for a place where the lap stands. */
const WHOLE = { rings: 5, arc: 5, circle: 12 };

/** Below this share of the outline's area in contact a lap counts as tipping: it stands on its edge. */
const TIPPING_SHARE = 0.01;

export class ContactSolver {
  private readonly region: ContactRegion;
  private readonly wholeNodes: Nodes;
  private readonly wholeP0: number;
  private readonly wholeSecondMoment: number;

  constructor(private readonly settings: ContactSettings) {
    this.region = new ContactRegion(settings.face, settings.glass);
    const whole = new ContactRegion(settings.face, { rimMm: Number.POSITIVE_INFINITY, holeMm: 0 }, WHOLE);
    this.wholeNodes = whole.over(0, null);
    const sums = moments(this.wholeNodes);
    this.wholeP0 = 1 / sums.area;
    this.wholeSecondMoment = sums.xx;
  }

  get reachMm(): number {
    return this.settings.face.reachMm;
  }

  /** Whether all of the outline lies on polished glass with the lap's centre `centreMm` from the axis. */
  isWhole(centreMm: number): boolean {
    const { face, glass } = this.settings;
    return centreMm + face.reachMm <= glass.rimMm && (glass.holeMm === 0 || centreMm - face.reachMm >= glass.holeMm);
  }

  /** The pressure per newton with the lap's centre `centreMm` from the axis; null where the lap tips or touches nothing. */
  solve(centreMm: number, motion: RelativeMotion): LinearPressure | null {
    const { face, frictionHeightMm, law } = this.settings;
    const whole = this.isWhole(centreMm);
    if (law !== 'balanced') return whole ? { p0: this.wholeP0, gx: 0, gy: 0 } : this.uniform(centreMm);
    if (whole && frictionHeightMm === 0) return { p0: this.wholeP0, gx: 0, gy: 0 };
    if (whole && motion.spin === 0) {
      const speed = Math.hypot(motion.out, motion.along);
      const tilt = speed > 0 ? frictionHeightMm / (this.wholeSecondMoment * speed) : 0;
      const pressure = { p0: this.wholeP0, gx: tilt * motion.out, gy: tilt * motion.along };
      if (pressesEverywhere(pressure, face)) return pressure;
    }
    const nodes = whole ? this.wholeNodes : this.region.over(centreMm, null);
    const first = balance(nodes, motion, frictionHeightMm);
    if (!first) return null;
    return pressesEverywhere(first, face) ? first : this.partial(centreMm, motion, first);
  }

  /** Whether the pressure is cut at nothing somewhere under the lap. */
  lifts(pressure: LinearPressure): boolean {
    return !pressesEverywhere(pressure, this.settings.face);
  }

  private uniform(centreMm: number): LinearPressure | null {
    const { area } = moments(this.region.over(centreMm, null));
    return area > 0 ? { p0: 1 / area, gx: 0, gy: 0 } : null;
  }

  /** Newton's method on {p0, gx, gy}: the contact is where the last answer presses, the next answer balances on it. */
  private partial(centreMm: number, motion: RelativeMotion, start: LinearPressure): LinearPressure | null {
    const { face, frictionHeightMm } = this.settings;
    let now = start;
    for (let step = 0; step < 60; step++) {
      const nodes = this.region.over(centreMm, now);
      const next = balance(nodes, motion, frictionHeightMm);
      if (!next || moments(nodes).area < TIPPING_SHARE * face.outlineAreaMm2) return null;
      const scale = Math.abs(next.p0) + Math.hypot(next.gx, next.gy) * face.reachMm;
      const change = Math.abs(next.p0 - now.p0) + Math.hypot(next.gx - now.gx, next.gy - now.gy) * face.reachMm;
      now = next;
      if (change < 1e-11 * scale) return now;
    }
    return null;
  }
}

function pressesEverywhere(pressure: LinearPressure, face: Face): boolean {
  return pressure.p0 >= Math.hypot(pressure.gx, pressure.gy) * face.reachMm;
}

function moments(nodes: Nodes): { area: number; xx: number } {
  let area = 0;
  let xx = 0;
  for (let i = 0; i < nodes.count; i++) {
    area += nodes.weight[i]!;
    xx += nodes.weight[i]! * nodes.x[i]! ** 2;
  }
  return { area, xx };
}

/** Solves the three balances on a fixed contact; null where they have no answer (no area, or all of it on a line). */
function balance(nodes: Nodes, motion: RelativeMotion, frictionHeightMm: number): LinearPressure | null {
  let [area, sx, sy, sxx, sxy, syy] = [0, 0, 0, 0, 0, 0];
  let [fx, fxx, fxy, fy, fyx, fyy] = [0, 0, 0, 0, 0, 0];
  for (let i = 0; i < nodes.count; i++) {
    const x = nodes.x[i]!;
    const y = nodes.y[i]!;
    const weight = nodes.weight[i]!;
    area += weight;
    sx += weight * x;
    sy += weight * y;
    sxx += weight * x * x;
    sxy += weight * x * y;
    syy += weight * y * y;
    if (frictionHeightMm === 0) continue;
    const vx = motion.out - motion.spin * y;
    const vy = motion.along + motion.spin * x;
    const speed = Math.sqrt(vx * vx + vy * vy);
    if (speed === 0) continue;
    const px = (weight * vx) / speed;
    const py = (weight * vy) / speed;
    fx += px;
    fxx += px * x;
    fxy += px * y;
    fy += py;
    fyx += py * x;
    fyy += py * y;
  }
  const h = frictionHeightMm;
  return solveThree(
    [area, sx, sy],
    [sx - h * fx, sxx - h * fxx, sxy - h * fxy],
    [sy - h * fy, sxy - h * fyx, syy - h * fyy],
  );
}

type Row = readonly [number, number, number];

/** Cramer's rule for right-hand side (1, 0, 0). */
function solveThree(a: Row, b: Row, c: Row): LinearPressure | null {
  const first = b[1] * c[2] - b[2] * c[1];
  const second = b[2] * c[0] - b[0] * c[2];
  const third = b[0] * c[1] - b[1] * c[0];
  const determinant = a[0] * first + a[1] * second + a[2] * third;
  const size = Math.abs(a[0]) * Math.abs(b[1]) * Math.abs(c[2]);
  if (!(Math.abs(determinant) > 1e-14 * size)) return null;
  return { p0: first / determinant, gx: second / determinant, gy: third / determinant };
}
