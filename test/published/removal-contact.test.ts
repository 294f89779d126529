/**
 * Pressure of a stiff lap by the balance of force and moments (linear law; that it turns negative past an overhang, and that
 * this is not physical, is noted by Luna-Aguilar et al., Proc. SPIE 4840, 598 (2003)). Numbers computed from the formula.
 */
import { describe, expect, it } from 'vitest';
import { ContactSolver } from '../../planner/removal/contact';
import { lapFace } from '../../planner/removal/face';
import { roundLap } from '../removal/support';

const A = 30;
const face = lapFace(roundLap(A));
const P0 = 1 / (Math.PI * A * A);
const ALONG = { out: 0, along: 1, spin: 0 };

function solver(rimMm: number, more: { holeMm?: number; frictionHeightMm?: number } = {}): ContactSolver {
  const { holeMm = 0, frictionHeightMm = 0 } = more;
  return new ContactSolver({ face, glass: { rimMm, holeMm }, frictionHeightMm, law: 'balanced' });
}

/** Pressures at the glass's rim and at the lap's inner edge, in units of load/area of the whole lap. */
function edges(rimMm: number, centreMm: number): { rim: number; inner: number } {
  const pressure = solver(rimMm).solve(centreMm, ALONG)!;
  return { rim: (pressure.p0 + pressure.gx * (rimMm - centreMm)) / P0, inner: (pressure.p0 - pressure.gx * A) / P0 };
}

describe('a round lap over a straight edge', () => {
  // So large a glass that its rim is straight to 1e-8; S = overhang/diameter.
  const rim = 1e9;

  it.each([
    [0.05, 1.0895591, 0.94360902],
    [0.1, 1.2528093, 0.83289648],
    [0.15, 1.4774557, 0.66864397],
    [0.2, 1.7726912, 0.43692959],
    [0.25, 2.1571194, 0.11465004],
  ])('overhanging %s of its diameter', (overhang, atRim, atInner) => {
    const found = edges(rim, rim - A + 2 * A * overhang);
    expect(found.rim).toBeCloseTo(atRim, 5);
    expect(found.inner).toBeCloseTo(atInner, 5);
  });

  it('begins to lift at an overhang of 0.264456271712, with 2.288686661 at the rim', () => {
    const onset = rim - A + 2 * A * 0.264456271712;
    expect(edges(rim, onset).inner).toBeCloseTo(0, 5);
    expect(edges(rim, onset).rim).toBeCloseTo(2.288686661, 4);
    expect(edges(rim, onset - 0.06).inner).toBeGreaterThan(0);
    expect(solver(rim).lifts(solver(rim).solve(onset + 0.06, ALONG)!)).toBe(true);
  });

  it('presses harder at the rim than the load over the smaller area alone would say', () => {
    expect(edges(rim, rim - A + 12).rim).toBeGreaterThan(1.5 * (1 / 0.85762151));
  });
});

describe('a lap of 30 mm radius on a round glass of 100 mm radius', () => {
  it.each([
    [70, 1, 1],
    [75, 1.2281865, 0.85286893],
    [80, 1.6819697, 0.52807774],
  ])('centred at %s mm', (centre, atRim, atInner) => {
    expect(edges(100, centre).rim).toBeCloseTo(atRim, 7);
    expect(edges(100, centre).inner).toBeCloseTo(atInner, 7);
  });

  it('begins to lift at 84.68792384 mm', () => {
    expect(edges(100, 84.68792384).inner).toBeCloseTo(0, 7);
  });

  it('past that, the part that lifts takes nothing and the rest balances', () => {
    // The linear law alone would pull with -0.0458 there.
    const pressure = solver(100).solve(85, ALONG)!;
    expect(solver(100).lifts(pressure)).toBe(true);
    let force = 0;
    let moment = 0;
    const step = 0.1;
    for (let x = -A + step / 2; x < A; x += step) {
      for (let y = -A + step / 2; y < A; y += step) {
        if (x * x + y * y > A * A || (85 + x) ** 2 + y * y > 1e4) continue;
        const p = Math.max(0, pressure.p0 + pressure.gx * x);
        force += p * step * step;
        moment += p * x * step * step;
      }
    }
    expect(force).toBeCloseTo(1, 3);
    expect(moment / A).toBeCloseTo(0, 3);
  });

  it('tips when its centre passes the rim', () => {
    expect(solver(100).solve(98, ALONG)).not.toBeNull();
    expect(solver(100).solve(100.01, ALONG)).toBeNull();
  });
});

describe('a raised pivot', () => {
  it.each([0.3, 5, 15, 24])('at %s mm tilts the pressure by 4 mu h/a at the leading edge', (heightMm) => {
    const pressure = solver(300, { frictionHeightMm: 0.3 * heightMm }).solve(150, { out: 3, along: 4, spin: 0 })!;
    const tilt = (4 * 0.3 * heightMm) / A;
    expect((pressure.gx * A) / P0).toBeCloseTo(tilt * 0.6, 9);
    expect((pressure.gy * A) / P0).toBeCloseTo(tilt * 0.8, 9);
  });

  it('lifts the trailing edge above a/(4 mu) = 25 mm', () => {
    const lifts = (heightMm: number): boolean => {
      const raised = solver(300, { frictionHeightMm: 0.3 * heightMm });
      return raised.lifts(raised.solve(150, ALONG)!);
    };
    expect(lifts(24.99)).toBe(false);
    expect(lifts(25.01)).toBe(true);
  });

  it('makes the lap tip where friction carries the load over its edge: mu h beyond the radius', () => {
    expect(solver(300, { frictionHeightMm: 0.9 * A }).solve(150, ALONG)).not.toBeNull();
    expect(solver(300, { frictionHeightMm: 1.01 * A }).solve(150, ALONG)).toBeNull();
  });
});

describe('a hole in the glass', () => {
  it('is the mirror of the rim: overhanging it, the pressure rises at its edge', () => {
    const pressure = solver(300, { holeMm: 40 }).solve(60, ALONG)!;
    expect(pressure.gx).toBeLessThan(0);
  });

  it('smaller than the lap may lie under its middle; a lap smaller than the hole tips inside sqrt(h^2 - a^2)', () => {
    expect(solver(300, { holeMm: 20 }).solve(0, ALONG)).not.toBeNull();
    const onset = Math.sqrt(40 ** 2 - A ** 2);
    // Close to it less than a hundredth of the face would touch: refused as well.
    expect(solver(300, { holeMm: 40 }).solve(onset + 3, ALONG)).not.toBeNull();
    expect(solver(300, { holeMm: 40 }).solve(onset - 0.01, ALONG)).toBeNull();
  });
});
