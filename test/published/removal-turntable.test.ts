/**
 * The glass turning under a lap that rests, whole and partial turns. Values computed from the formulas given; the theorem that N
 * even steps of a turn leave only the orders k N: Evans & Kestner, Applied Optics 35 (1996), as also in J. Eur. Opt. Soc. RP
 * (2016) s41476-016-0032-6, Eqs. (1)-(3).
 */
import { describe, expect, it } from 'vitest';
import { ContactSolver } from '../../planner/removal/contact';
import { lapFace } from '../../planner/removal/face';
import { amplitudeNm, removalOrders } from '../../planner/removal/map';
import { prepareRemoval, profileNm } from '../../planner/removal/removal';
import { FLAT_GLASS, formulaPath, freePath, roundLap, unitProfile, volumeOf } from '../removal/support';

const A = 30;

/** One turn under a lap at rest at `settingMm`. */
const resting = (settingMm: number) =>
  freePath(
    1,
    (u) => [u, 0, settingMm, 0],
    () => [1, 0, 0, 0],
  );

describe('a lap at rest over a turning glass', () => {
  const { at } = unitProfile(resting(70), roundLap(A), { count: 1, stepMm: 0.5 });
  // Depth of a turn = k p 2 r acos[(R^2 + r^2 - a^2)/(2 R r)]: the speed grows with the radius.
  it.each([
    [50, 38.0251],
    [60, 52.7971],
    [70, 60.4689],
    [80, 60.8402],
    [90, 50.8785],
  ])('walks a path at %s mm', (radius, way) => {
    expect(at(radius) * Math.PI * A * A).toBeCloseTo(way, 4);
  });

  it('takes most at 75.587 mm, outside the setting, though the arc is longest at 63.2 mm', () => {
    const fine = unitProfile(resting(70), roundLap(A), { count: 1, stepMm: 0.002, rimMm: 110 });
    let most = 0;
    fine.values.forEach((value, j) => {
      if (value > fine.values[most]!) most = j;
    });
    expect(Math.abs(most * 0.002 - 75.587)).toBeLessThan(0.002);
    expect(fine.values[most]! * Math.PI * A * A).toBeCloseTo(61.6848, 4);
  });
});

describe('volume is load x path', () => {
  const path = formulaPath({ turns: 1, strokes: 18, settingMm: 100, lengthMm: 60 });
  /** Path of the centre over the glass. */
  const centreWay = (points: { turns: number; motion: { out: number; along: number } }[]): number =>
    points.reduce((sum, { turns, motion }) => sum + turns * Math.hypot(motion.out, motion.along), 0);

  it('exactly where the lap turns with the turntable', () => {
    const profile = unitProfile(path, roundLap(A), { count: 18 * 96, free: true });
    expect(volumeOf(profile) / centreWay(profile.points)).toBeCloseTo(1, 4);
  });

  it.each([
    ['R = 100, L = 60, 18 strokes a turn', path, 0.0017],
    ['R = 70, turntable only', resting(70), 0.023],
  ])('with the mean path over the lap, not that of its centre: %s', (_, walked, off) => {
    const profile = unitProfile(walked, roundLap(A), { count: 18 * 96, stepMm: 0.25 });
    // The mean path over the lap, by a lattice of its own.
    let lapMean = 0;
    let cells = 0;
    for (let x = -29.5; x < A; x++) {
      for (let y = -29.5; y < A; y++) {
        if (x * x + y * y > A * A) continue;
        cells++;
        for (const { turns, motion } of profile.points)
          lapMean += turns * Math.hypot(motion.out - motion.spin * y, motion.along + motion.spin * x);
      }
    }
    expect(volumeOf(profile) / (lapMean / cells)).toBeCloseTo(1, 3);
    expect(volumeOf(profile) / centreWay(profile.points) - 1).toBeCloseTo(off, 3);
  });
});

describe('partial turns', () => {
  // A fraction d of a turn beyond whole turns leaves order m with (2 d0/(pi m)) |sin(pi m d)| times sin(m b)/(m b) for an arc of
  // half-width b under the lap; d0 is the depth of a whole turn.
  it.each([0.25, 0.5, 0.1, 0.01])('a fraction of %s', (fraction) => {
    const turns = 3;
    // Cut in 100 pieces a turn: strokes of no length.
    const path = formulaPath({ turns: turns + 1, strokes: 100 * (turns + 1), settingMm: 70, lengthMm: 0 });
    const task = { path, lap: roundLap(A), glass: FLAT_GLASS, kPerPa: 1e-12 };
    const orders = removalOrders(prepareRemoval({ ...task, untilTurns: turns + fraction }), 360, 8);
    const wholeTurn = profileNm(prepareRemoval({ ...task, untilTurns: 1 }));
    for (const radius of [50, 70, 90]) {
      const j = 2 * radius;
      const half = Math.acos((70 ** 2 + radius ** 2 - A ** 2) / (2 * 70 * radius));
      for (let m = 1; m <= 4; m++) {
        const expected =
          (2 / (Math.PI * m)) * Math.abs(Math.sin(Math.PI * m * fraction)) * (Math.sin(m * half) / (m * half));
        expect(amplitudeNm(orders, m)[j]! / wholeTurn[j]!).toBeCloseTo(Math.abs(expected), 4);
      }
    }
  });

  it('whole turns leave nothing round the glass', () => {
    const path = formulaPath({
      turns: 7,
      strokes: 120,
      settingMm: 90,
      lengthMm: 60,
      nudge: { everyStrokes: 4, byMm: 10 },
    });
    const removal = prepareRemoval({ path, lap: roundLap(A), glass: FLAT_GLASS, kPerPa: 1e-12 });
    const orders = removalOrders(removal, 360, 8);
    const peak = Math.max(...profileNm(removal));
    for (let m = 1; m <= 8; m++) expect(Math.max(...amplitudeNm(orders, m)) / peak).toBeLessThan(1e-10);
  });

  it('strokes that fall on few azimuths leave the orders of their number, and only those', () => {
    // Nudged strokes 5 to 5 turns at 6 strokes a turn with n = 6: every nudge falls on one azimuth.
    const path = formulaPath({
      turns: 5,
      strokes: 30,
      settingMm: 90,
      lengthMm: 60,
      nudge: { everyStrokes: 3, byMm: 12 },
    });
    const removal = prepareRemoval({ path, lap: roundLap(A), glass: FLAT_GLASS, kPerPa: 1e-12 });
    const orders = removalOrders(removal, 360, 8);
    const peak = Math.max(...profileNm(removal));
    const left = [1, 2, 3, 4, 5, 6, 7, 8].filter((m) => Math.max(...amplitudeNm(orders, m)) / peak > 1e-9);
    expect(left).toEqual([2, 4, 6, 8]);
  });
});

describe('a lap that friction turns', () => {
  // Friction f = -mu p v/|v|: its torque about the pivot vanishes when the lap turns with the turntable, 1:1, because the balance of
  // moments leaves the pressure no first moment across the motion. Sums over a lattice of the test's own.
  const face = lapFace(roundLap(A));
  const torque = (centreMm: number, frictionHeightMm: number, spin: number): number => {
    const motion = { out: 300, along: 120, spin };
    const glass = { rimMm: 100, holeMm: 0 };
    const solver = new ContactSolver({ face, glass, frictionHeightMm, law: 'balanced' });
    const { p0, gx, gy } = solver.solve(centreMm, motion)!;
    let sum = 0;
    const step = 0.1;
    for (let x = -A + step / 2; x < A; x += step) {
      for (let y = -A + step / 2; y < A; y += step) {
        if (x * x + y * y > A * A || (centreMm + x) ** 2 + y * y > 1e4) continue;
        const p = Math.max(0, p0 + gx * x + gy * y);
        const vx = motion.out - spin * y;
        const vy = motion.along + spin * x;
        sum += ((p * (x * vy - y * vx)) / Math.hypot(vx, vy)) * step * step;
      }
    }
    return sum / A;
  };

  it.each([
    ['wholly on the glass', 60, 0],
    ['wholly on the glass, pivot raised', 60, 5],
    ['over the rim', 80, 0],
    ['over the rim, pivot raised', 78, 3],
    ['partly lifted', 88, 0],
    ['partly lifted by a raised pivot', 60, 9],
  ])('turns with the turntable %s', (_, centreMm, frictionHeightMm) => {
    expect(Math.abs(torque(centreMm, frictionHeightMm, 0))).toBeLessThan(2e-3);
    // Turned otherwise, friction drives it back.
    expect(torque(centreMm, frictionHeightMm, 3)).toBeGreaterThan(5e-3);
    expect(torque(centreMm, frictionHeightMm, -3)).toBeLessThan(-5e-3);
  });

  it('is forecast so', () => {
    const path = formulaPath({ turns: 1, strokes: 17, settingMm: 90, lengthMm: 60, widthMm: 20 });
    const removal = prepareRemoval({ path, lap: roundLap(A, { rotation: 'free' }), glass: FLAT_GLASS, kPerPa: 1e-12 });
    for (const points of removal.points) for (const { motion } of points) expect(motion.spin).toBe(0);
  });
});
