/**
 * Closed forms for strokes, discs and orbits. Where no source is named the values were computed from the formula given.
 */
import { describe, expect, it } from 'vitest';
import { freePath, roundLap, unitProfile, volumeOf } from '../removal/support';

const TURN = 2 * Math.PI;

/** A disc of radius a at rest over the glass at `centre`, spinning; the turntable stands. Length of time 1. */
function spinningDisc(centreMm: number, radPerUnit: number) {
  return freePath(
    1,
    (u) => [0, 0, centreMm, (radPerUnit / TURN) * u],
    () => [0, 0, 0, radPerUnit / TURN],
  );
}

describe('a straight stroke along the tangent, the turntable standing', () => {
  // B(r) = (1/s) int_0^s f(r; sqrt(R^2 + y^2), a) dy; depth of a cycle = k p 4 s B(r). R = 70, a = 30, s = 20.
  const path = freePath(
    1,
    (u) => [0, -20 * Math.cos(TURN * u), 70, 0],
    (u) => [0, 20 * TURN * Math.sin(TURN * u), 0, 0],
  );
  const { at, values, stepMm } = unitProfile(path, roundLap(30), { count: 20_000, stepMm: 0.5 });
  const pressure = 1 / (Math.PI * 900);

  it.each([
    [41, 0.0212834619129],
    [45, 0.0846362964339],
    [50, 0.115302927626],
    [60, 0.137295457474],
    [70, 0.136441308807],
    [80, 0.121521269545],
    [90, 0.0925082339965],
    [95, 0.0693980225953],
    [100, 0.0242604041592],
    [101, 0.0098963917293],
    [102, 0.00263953513058],
  ])('at %s mm', (radius, expected) => {
    expect(at(radius) / (pressure * 80)).toBeCloseTo(expected, 6);
  });

  it('ends at 102.8011 mm: the chord carries the ends outward', () => {
    expect(Math.hypot(70, 20) + 30).toBeCloseTo(102.8011, 4);
    expect(at(103)).toBe(0);
    expect(at(102.5)).toBeGreaterThan(0);
  });

  it('takes off load x path', () => {
    expect(volumeOf({ values, stepMm })).toBeCloseTo(80, 2);
  });
});

describe('speeds of a stroke over a turning glass', () => {
  // Mean of |v + u cos t|: (2/pi)(v asin(v/u) + sqrt(u^2 - v^2)) for v < u, v above: a stroke slower than the glass along the
  // same line adds no path. A lap that turns with the turntable has the same speed everywhere.
  it.each([
    [0, 0.63661977236758],
    [0.25, 0.65661975568908],
    [0.5, 0.71799556208846],
    [0.75, 0.82600421510387],
    [1, 1],
    [2, 2],
  ])('drift of %s times the stroke speed', (drift, expected) => {
    const turntable = drift / (TURN * 1000);
    // The stroke is so short that the glass moves along it everywhere.
    const length = 1e-3;
    const path = freePath(
      1,
      (u) => [turntable * u, (length / TURN) * Math.sin(TURN * u), 1000, turntable * u],
      (u) => [turntable, Math.cos(TURN * u), 0, turntable],
    );
    const { points } = unitProfile(path, roundLap(10), { count: 4096, rimMm: 1100 });
    const way = points.reduce((sum, { turns, motion }) => sum + turns * Math.hypot(motion.out, motion.along), 0);
    expect(way).toBeCloseTo(expected, 6);
  });

  it('adds two circular motions to 96000 E(5/9) mm', () => {
    // Worked example of a polishing spindle (math question-and-answer mirror math.techqa.club, question 4678883): radii 50
    // and 20 mm at 40 and 20 turns a minute, 10 minutes: 126923.5167 mm.
    const path = freePath(
      1,
      (u) => [u, 20 * Math.cos(1.5 * TURN * u), 50 + 20 * Math.sin(1.5 * TURN * u), u],
      (u) => [1, -20 * 1.5 * TURN * Math.sin(1.5 * TURN * u), 20 * 1.5 * TURN * Math.cos(1.5 * TURN * u), 1],
    );
    // Turntable at 40 a minute; seen from the glass the small circle turns 1.5 - 1 = 0.5 times as fast, 20 a minute. Two turns
    // close the pattern, ten minutes hold 400 turns.
    const twoTurns = { ...path, turns: 2 };
    const { points, values, stepMm } = unitProfile(twoTurns, roundLap(10), { count: 8192, stepMm: 0.25, rimMm: 90 });
    const way = points.reduce((sum, { turns, motion }) => sum + turns * Math.hypot(motion.out, motion.along), 0);
    expect(200 * way).toBeCloseTo(126923.5167, 3);
    expect((200 * volumeOf({ values, stepMm })) / 126923.5167).toBeCloseTo(1, 4);
  });
});

describe('a spinning disc', () => {
  // Lin, Xu, Li, Yang, "Path planning of mechanical polishing process for freeform surface with a small polishing tool",
  // Robotics and Biomimetics 1:24 (2014), Eq. (5): depth across a pass, a = 1, prefactor 1.
  const a = 40;
  const far = 1e6;
  const { points } = unitProfile(spinningDisc(far, 1), roundLap(a), { count: 1, rimMm: 1 });
  const point = points[0]!;
  // Far from the axis a ring is a straight line across the disc: its length of path is what a pass leaves.
  const across = (y: number): number => {
    const line = Math.sqrt(a * a - y * y);
    const n = 4000;
    let sum = 0;
    for (let i = 0; i < n; i++) {
      const x = ((i + 0.5) / n) * 2 * line - line;
      sum += Math.hypot(point.motion.out - point.motion.spin * x, point.motion.along + point.motion.spin * y);
    }
    return (sum * 2 * line) / n / (a * a);
  };

  it.each([
    [0, 1],
    [0.1, 1.0249196655679],
    [0.25, 1.0972106533578],
    [0.5, 1.1952648780156],
    [0.6, 1.1955004239205],
    [0.75, 1.1088308997046],
    [0.9, 0.81427759391771],
    [0.99, 0.28025571317189],
  ])('leaves across its pass, at %s of its radius', (y, expected) => {
    expect(across(y * a)).toBeCloseTo(expected, 5);
    // The same through the profile, ring by ring.
    const { at } = unitProfile(spinningDisc(1e5, 1), roundLap(a), { count: 1, stepMm: 0.1 * a, rimMm: 1.1e5 });
    if (Math.abs(y * 10 - Math.round(y * 10)) > 1e-9 || y === 0) return;
    const ring = 1e5 + y * a;
    expect((at(ring) * TURN * ring * Math.PI * a * a) / (a * a)).toBeCloseTo(expected, 3);
  });
});

describe('a disc on an orbit, the turntable standing', () => {
  // R(r) = (K p/pi) int_0^th0 sqrt[Om^2 r^2 + (Om - w1)^2 e^2 - 2 Om (Om - w1) r e cos th] d th: the form of the small-tool papers
  // (Wagner & Shannon, Appl. Opt. 13, 1683 (1974); Jones, Appl. Opt. 16, 218 (1977); form from memory, values computed).
  const scale = 40;
  const a = scale;
  const e = 0.5 * scale;
  const radii = [0, 0.25, 0.5, 0.75, 1, 1.25, 1.5];
  const removal = (spin: number): ((radius: number) => number) => {
    const path = freePath(
      1,
      (u) => [0, e * Math.cos(u), e * Math.sin(u), (spin * u) / TURN],
      (u) => [0, -e * Math.sin(u), e * Math.cos(u), spin / TURN],
    );
    const { at } = unitProfile(path, roundLap(a), { count: 64, stepMm: scale / 4, rimMm: 2 * scale });
    return (radius) => (at(radius * scale) * Math.PI * a * a) / scale;
  };

  it.each([
    ['none', 0, [0.5, 0.5, 0.5, 0.2902153116, 0.2097846884, 0.1373844392, 0]],
    ['with the orbit', 1, [0, 0.25, 0.5, 0.4353229674, 0.4195693767, 0.3434610981, 0]],
    ['twice the orbit', 2, [0.5, 0.6366197724, 1.06354441, 0.7466131627, 0.6973771267, 0.5694510616, 0]],
    ['against the orbit', -1, [1, 1.015687013, 1.06354441, 0.4631063302, 0.2666553026, 0.1533696097, 0]],
  ])('spin %s', (_, spin, expected) => {
    const of = removal(spin);
    radii.forEach((radius, i) => {
      // At e the ring is just covered whole: the depth jumps in slope there and the formula means the inner side.
      if (radius !== 0.5) expect(of(radius)).toBeCloseTo(expected[i]!, 5);
    });
  });

  it('takes off pi/2 without spin and 2.4808 with the orbit', () => {
    for (const [spin, expected] of [
      [0, Math.PI / 2],
      [1, 2.48082220145],
    ] as const) {
      const path = freePath(
        1,
        (u) => [0, e * Math.cos(u), e * Math.sin(u), (spin * u) / TURN],
        (u) => [0, -e * Math.sin(u), e * Math.cos(u), spin / TURN],
      );
      const profile = unitProfile(path, roundLap(a), { count: 64, stepMm: 0.05, rimMm: 2 * scale });
      expect((volumeOf(profile) * Math.PI) / scale).toBeCloseTo(expected, 3);
    }
  });
});
