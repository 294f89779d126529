/** What must not change a forecast: pace, fineness, where the glass was turned to, a mirror. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { gearProgram } from '../../planner/gearing/gearing';
import { buildPath } from '../../planner/path/path';
import type { Path } from '../../planner/path/types';
import type { Program, Stint } from '../../planner/program/types';
import { amplitudeNm, mapOf, removalOrders } from '../../planner/removal/map';
import { predict } from '../../planner/removal/predict';
import { onlyStint, prepareRemoval, profileNm } from '../../planner/removal/removal';
import { FLAT_GLASS, formulaPath, roundLap, starLap } from './support';

const STINT: Stint = {
  turns: 3,
  shape: 'straight',
  settingMm: 90,
  lengthMm: 60,
  widthMm: 0,
  sense: 1,
  strokesPerMinute: 44,
  rateTolerance: 0.1,
  nudge: { everyStrokes: 4, byMm: 8 },
  clocking: { kind: 'steps', everyStrokes: 3, askedDeg: 40, share: 0.4 },
  line: 1,
  group: 0,
};

function program(more: Partial<Program> = {}): Program {
  return {
    title: 'test',
    file: 'test.yaml',
    glass: FLAT_GLASS,
    lap: starLap(30, 8, 10, { pivotHeightMm: 5 }),
    slurry: null,
    turntableRpm: 2.5,
    stints: [STINT, { ...STINT, shape: 'ellipse', widthMm: 16, nudge: null, turns: 2, settingMm: 94, group: 1 }],
    ...more,
  };
}

function pathOf(of: Program): Path {
  return buildPath(gearProgram(of), of);
}

const worst = (a: ArrayLike<number>, b: ArrayLike<number>): number => {
  let most = 0;
  let peak = 0;
  for (let i = 0; i < a.length; i++) {
    most = Math.max(most, Math.abs(a[i]! - b[i]!));
    peak = Math.max(peak, Math.abs(a[i]!));
  }
  return most / peak;
};

describe('pace', () => {
  it('twice as fast on the same path forecasts the same, to the last digit', () => {
    const slow = program();
    const fast = program({
      turntableRpm: 5,
      stints: slow.stints.map((stint) => ({ ...stint, strokesPerMinute: 2 * stint.strokesPerMinute })),
    });
    const forecast = (of: Program) => predict(of, { path: pathOf(of) }, { kPerPa: 1e-12 });
    expect(forecast(fast)).toEqual(forecast(slow));
  });
});

describe('fineness', () => {
  it('twice as many points a stroke move the profile by less than 0.3 % of its peak', () => {
    for (const lap of [roundLap(30), starLap(30, 5, 12)]) {
      const of = program({ lap });
      const task = { path: pathOf(of), lap, glass: FLAT_GLASS, kPerPa: 1e-12 };
      const coarse = prepareRemoval(task);
      const fine = prepareRemoval({ ...task, pointStepMm: 0.6 });
      expect(worst(profileNm(fine), profileNm(coarse))).toBeLessThan(3e-3);
    }
  });

  it('finer rings pass through the same depths', () => {
    const of = program({ lap: roundLap(30) });
    const task = { path: pathOf(of), lap: roundLap(30), glass: FLAT_GLASS, kPerPa: 1e-12 };
    const coarse = profileNm(prepareRemoval({ ...task, ringStepMm: 1 }));
    const fine = profileNm(prepareRemoval({ ...task, ringStepMm: 0.25 }));
    coarse.forEach((depth, j) => {
      expect(fine[4 * j]).toBeCloseTo(depth, 12);
    });
  });

  it('the map has the mean profile', () => {
    const of = program();
    const removal = prepareRemoval({ path: pathOf(of), lap: of.lap, glass: FLAT_GLASS, kPerPa: 1e-12 });
    const map = mapOf(removalOrders(removal, 360, 180));
    const means = Array.from({ length: map.rings.count }, (_, j) => {
      let sum = 0;
      for (let c = 0; c < 360; c++) sum += map.depthNm[j * 360 + c]!;
      return sum / 360;
    });
    expect(worst(profileNm(removal), means)).toBeLessThan(5e-4);
  });
});

describe('stints', () => {
  it('add up to the program: profiles and maps', () => {
    const of = program();
    const removal = prepareRemoval({ path: pathOf(of), lap: of.lap, glass: FLAT_GLASS, kPerPa: 1e-12 });
    const whole = mapOf(removalOrders(removal, 360, 60)).depthNm;
    const parts = [0, 1].map((stint) => onlyStint(removal, stint));
    const maps = parts.map((part) => mapOf(removalOrders(part, 360, 60)).depthNm);
    expect(
      worst(
        whole,
        maps[0]!.map((depth, i) => depth + maps[1]![i]!),
      ),
    ).toBeLessThan(1e-9);
    const profiles = parts.map((part) => profileNm(part));
    expect(
      worst(
        profileNm(removal),
        profiles[0]!.map((depth, i) => depth + profiles[1]![i]!),
      ),
    ).toBeLessThan(1e-12);
    expect(profiles[0]).toEqual(profileNm(removal, 0));
  });
});

describe('rotation and mirror image', () => {
  /** The path walked by a stand whose glass was put on turned by `turns`. */
  const turned = (path: Path, turns: number): Path => ({
    ...path,
    turns: path.turns,
    stints: path.stints,
    rests: path.rests,
    at: (u) => ({ ...path.at(u), turntableTurns: path.at(u).turntableTurns + turns }),
    sample(u, out) {
      path.sample(u, out);
      out[0]! += turns;
    },
    derivatives: (u, out) => path.derivatives(u, out),
  });

  it('glass put on turned by an angle gets the same mean profile and the same orders', () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 1, noNaN: true }), (turns) => {
        const path = formulaPath({
          turns: 2,
          strokes: 9,
          settingMm: 80,
          lengthMm: 50,
          nudge: { everyStrokes: 4, byMm: 8 },
        });
        const task = { lap: roundLap(25), glass: FLAT_GLASS, kPerPa: 1e-12 };
        const still = prepareRemoval({ ...task, path });
        const moved = prepareRemoval({ ...task, path: turned(path, turns) });
        expect(worst(profileNm(still), profileNm(moved))).toBeLessThan(1e-9);
        const [a, b] = [still, moved].map((removal) => amplitudeNm(removalOrders(removal, 360, 3), 3));
        expect(worst(a!, b!)).toBeLessThan(1e-9);
      }),
      { seed: 11, numRuns: 10 },
    );
  });

  it('everything seen in a mirror takes off the mirror image', () => {
    const path = formulaPath({ turns: 1, strokes: 7, settingMm: 80, lengthMm: 50, widthMm: 14, lapTurnsPerTurn: 0.3 });
    const mirrored: Path = {
      ...path,
      at: (u) => path.at(u),
      sample(u, out) {
        path.sample(u, out);
        for (const i of [0, 1, 3]) out[i] = -out[i]!;
      },
      derivatives(u, out) {
        path.derivatives(u, out);
        for (const i of [0, 1, 3]) out[i] = -out[i]!;
      },
    };
    const task = { lap: roundLap(25, { pivotHeightMm: 6 }), glass: FLAT_GLASS, kPerPa: 1e-12, untilTurns: 0.3 };
    const [one, other] = [path, mirrored].map((walked) => {
      const removal = prepareRemoval({ ...task, path: walked });
      return { profile: profileNm(removal), order: amplitudeNm(removalOrders(removal, 360, 2), 2) };
    });
    expect(worst(one!.profile, other!.profile)).toBeLessThan(1e-9);
    expect(worst(one!.order, other!.order)).toBeLessThan(1e-9);
  });
});

describe('Preston', () => {
  it('depth is in proportion to load, coefficient and turns', () => {
    const path = formulaPath({ turns: 2, strokes: 34, settingMm: 80, lengthMm: 50 });
    const peak = (kPerPa: number, addedN: number, walked: Path): number =>
      Math.max(
        ...profileNm(
          prepareRemoval({
            path: walked,
            lap: roundLap(25, { load: { addedN, lapWeightN: 2, armWeightN: 1 } }),
            glass: FLAT_GLASS,
            kPerPa,
          }),
        ),
      );
    const base = peak(1e-12, 7, path);
    expect(peak(2e-12, 7, path) / base).toBeCloseTo(2, 12);
    expect(peak(1e-12, 17, path) / base).toBeCloseTo(2, 12);
    const longer = formulaPath({ turns: 6, strokes: 102, settingMm: 80, lengthMm: 50 });
    expect(peak(1e-12, 7, longer) / base).toBeCloseTo(3, 9);
  });

  it('in numbers: 8.06e-13 /Pa, 2 kPa, 0.05 m/s make 0.29 um an hour (computed from dh = k p v dt)', () => {
    // A lap that turns with the turntable, at rest at 100 mm: 0.6283 m a turn under an arc of its own.
    const path = formulaPath({ turns: 1, strokes: 10, settingMm: 100, lengthMm: 0, lapTurnsPerTurn: 1 });
    const lap = roundLap(20, { load: { addedN: 2000 * Math.PI * 0.02 ** 2, lapWeightN: 0, armWeightN: 0 } });
    const depth = profileNm(prepareRemoval({ path, lap, glass: FLAT_GLASS, kPerPa: 8.06e-13 }))[200]!;
    const share = Math.acos((2 * 100 ** 2 - 20 ** 2) / (2 * 100 ** 2)) / Math.PI;
    const nmAnHour = (depth / share / (2 * Math.PI * 0.1)) * 0.05 * 3600;
    expect(nmAnHour / 1000).toBeCloseTo(0.29, 3);
  });
});
