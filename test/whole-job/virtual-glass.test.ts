import { describe, expect, it } from 'vitest';
import { drawTruth, type GlassTruth, plainTruth } from '../../firmware-host/virtual/glass/truth';
import { VirtualGlass } from '../../firmware-host/virtual/glass/virtual-glass';
import { readingAtMm } from '../../planner/figure/knife-edge';
import { reduce } from '../../planner/figure/reduce';
import { planProgram } from '../../planner/path/plan';
import { readProgram } from '../../planner/program/read-program';
import { prepareRemoval, profileNm } from '../../planner/removal/removal';
import { equalWindows } from '../figure/synthetic';
import { GLASS, roundLap, shelfOf } from '../suggest/laps';
import { demoStand } from '../support/programs';
import { seeded } from '../support/random';

const PLAIN = plainTruth(8e-13);

const lap = roundLap(50);
const { program } = readProgram(
  `wholeturn: 1
title: Three zones
glass: mirror
lap: round-50
turntable: 2.5 rpm
rate: 44 /min
do:
  - { turns: 7, stroke: straight, at: 90 mm, length: 60 mm, nudge: { every: 3, by: 8 mm }, clock: { every: 4, by: 40 deg } }
  - { turns: 5, stroke: ellipse, at: 60 mm, length: 40 mm, width: 12 mm, clock: { every: 4, by: 40 deg } }
  - { turns: 3, stroke: straight, at: 128 mm, length: 40 mm, clock: { every: 4, by: 40 deg } }
`,
  'three.yaml',
  shelfOf(lap),
);

const path = planProgram(program!, fastStand()).path;

function fastStand() {
  const slide = {
    unit: 'mm' as const,
    stepsPerUnit: 40,
    maxSpeed: 1000,
    maxAcceleration: 50_000,
    min: -1000,
    max: 1000,
  };
  const round = { unit: 'turn' as const, stepsPerUnit: 10_000, maxSpeed: 10, maxAcceleration: 100 };
  return {
    ...demoStand,
    name: 'fast',
    axes: { turntable: round, stroke: slide, radial: slide, lapTurn: round },
  };
}

const random = seeded(1);

function glassOf(change: Partial<GlassTruth> = {}, startNm: (r: number) => number = () => 0): VirtualGlass {
  return new VirtualGlass(GLASS, { ...PLAIN, ...change }, startNm);
}

function depthsOf(glass: VirtualGlass): number[] {
  return glass.profile().points.map((point) => -point.heightNm);
}

function worn(change: Partial<GlassTruth> = {}): number[] {
  const glass = glassOf(change);
  glass.walk(path, lap, 0, path.turns, 2.5);
  return depthsOf(glass);
}

describe('the virtual glass', () => {
  it('without a hidden truth wears as the forecast says', () => {
    const removal = prepareRemoval({ path, lap, glass: GLASS, kPerPa: 8e-13, ringStepMm: 1 });
    const forecast = profileNm(removal);
    const peak = Math.max(...forecast);
    for (const [r, depth] of worn().entries()) expect(Math.abs(depth - forecast[r]!)).toBeLessThan(0.01 * peak);
  });

  it('wears the same in one piece and in pieces, whole strokes or not', () => {
    const pieces = glassOf();
    const cuts = [0, 0.37, 1, 2.251, 2.252, 6.9, 7.3, 11, path.turns];
    for (let i = 1; i < cuts.length; i++) pieces.walk(path, lap, cuts[i - 1]!, cuts[i]!, 2.5);
    const whole = worn();
    const peak = Math.max(...whole);
    for (const [r, depth] of depthsOf(pieces).entries()) expect(Math.abs(depth - whole[r]!)).toBeLessThan(0.01 * peak);
  });

  it('hides a coefficient, a lean, a hungry rim and a lap that wears in', () => {
    const plain = worn();
    const at = (depths: number[], r: number): number => depths[r]!;
    expect(at(worn({ kPerPa: 4e-13 }), 90) / at(plain, 90)).toBeCloseTo(0.5, 9);
    const leaning = worn({ radialTilt: 0.1 });
    expect(at(leaning, 110) / at(plain, 110)).toBeGreaterThan(1.02);
    expect(at(leaning, 42) / at(plain, 42)).toBeLessThan(0.99);
    // A worn-in lap: the seven turns at 90 mm take 2.8 minutes.
    const fresh = worn({ breakIn: { atFirst: -0.5, minutes: 1e6 } });
    expect(at(fresh, 90) / at(plain, 90)).toBeCloseTo(0.5, 4);
    const rim = worn({ rim: { more: 0.2, overMm: 8 } });
    expect(at(rim, 90) / at(plain, 90)).toBeCloseTo(1, 3);
    // Three millimetres inside the edge: 1 + 0.2 exp(-3/8).
    expect(at(rim, 147) / at(plain, 147)).toBeCloseTo(1 + 0.2 * Math.exp(-3 / 8), 9);
  });

  it('is read by an eye that balances two openings, near what a ray from the middle of a narrow one says', () => {
    const glass = glassOf({}, (r) => 40 * Math.cos(r / 20));
    const windows = equalWindows(60, 0, 149);
    const tester = {
      source: 'moving' as const,
      slitMm: 0.2,
      noiseMm: 0,
      zeroMm: 3,
      windows,
      diametersDeg: [0],
      takes: 1,
    };
    const { takes } = glass.measure(tester, random);
    for (const i of [10, 30, 55]) {
      const r = (windows[i]!.fromMm + windows[i]!.toMm) / 2;
      const sag = r ** 2 / 6000 + 40e-6 * Math.cos(r / 20);
      const ray = readingAtMm(sag, r / 3000 - 2e-6 * Math.sin(r / 20), r, 3000, 'moving');
      expect(Math.abs(takes[0]!.readingMm[i]! - 3 - ray)).toBeLessThan(0.02);
    }
  });

  it('has noise that grows as 1/r and the astigmatism that three diameters find', () => {
    const glass = glassOf({ astigmatism: { pvNm: 60, highAlongDeg: 35 } });
    const tester = {
      source: 'moving' as const,
      slitMm: 0.05,
      noiseMm: 0.02,
      zeroMm: 0,
      windows: equalWindows(10, 0, 149),
    };
    const { astigmatism } = reduce(glass.measure({ ...tester, diametersDeg: [0, 60, 120], takes: 6 }, random));
    expect(Math.abs(astigmatism!.surfacePvNm - 60)).toBeLessThan(3 * astigmatism!.sigmaNm + 2);
    expect(Math.abs(astigmatism!.highAlongDeg - 35)).toBeLessThan(8);
    const quiet = glassOf();
    const spread = (window: number): number => {
      const values = quiet
        .measure({ ...tester, diametersDeg: [0], takes: 400 }, random)
        .takes.map((take) => take.readingMm[window]!);
      const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
      return Math.sqrt(values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / values.length);
    };
    // Windows 1 and 7 lie at 22.35 and 111.75 mm: five to one, and three standard deviations of such a ratio are 0.75.
    const ratio = spread(1) / spread(7);
    expect(ratio).toBeGreaterThan(4.25);
    expect(ratio).toBeLessThan(5.75);
  });

  it('bulges while it is warm, and no more after a rest', () => {
    const glass = glassOf({ heat: { bulgeNm: 80, minutes: 30 } });
    const tester = {
      source: 'moving' as const,
      slitMm: 0.05,
      noiseMm: 0,
      zeroMm: 0,
      windows: equalWindows(12, 0, 149),
      diametersDeg: [0],
      takes: 1,
    };
    const pv = (): number => reduce({ ...glass.measure(tester, random), repeatabilityMm: 0.001 }).pvNm;
    glass.walk(path, lap, 0, 0.001, 2.5);
    const warm = pv();
    glass.rest(30);
    const cooler = pv();
    glass.rest(600);
    expect(warm).toBeGreaterThan(50);
    expect(cooler / warm).toBeCloseTo(Math.exp(-1), 1);
    expect(pv()).toBeLessThan(2);
  });

  it('draws truths within what is promised, the same for the same seed', () => {
    const random = seeded(9);
    for (let i = 0; i < 500; i++) {
      const truth = drawTruth(random, 8e-13);
      expect(Math.abs(truth.kPerPa / 8e-13 - 1)).toBeLessThanOrEqual(0.4);
      expect(Math.abs(truth.radialTilt)).toBeLessThanOrEqual(0.1);
    }
    expect(drawTruth(seeded(3), 8e-13)).toEqual(drawTruth(seeded(3), 8e-13));
  });
});
