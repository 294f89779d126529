/**
 * The accuracy of the forecast's numerics against independent truth: closed forms, and sums a hundred times finer. The table in
 * planner/ACCURACY.md holds the bounds; this test prints what was measured and keeps bounds and page alike.
 */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { ContactSolver } from '../../planner/removal/contact';
import { lapFace } from '../../planner/removal/face';
import { facetShare } from '../../planner/removal/facets';
import { amplitudeNm, mapOf, removalOrders } from '../../planner/removal/map';
import { lapPattern, peakToValleyNm } from '../../planner/removal/pattern';
import { centroidMm, flankWidthMm } from '../../planner/removal/profile-measures';
import { prepareRemoval, profileNm } from '../../planner/removal/removal';
import type { Lap } from '../../planner/shelf/types';
import { FLAT_GLASS, formulaPath, freePath, roundLap, starLap, unitProfile, volumeOf } from './support';

interface Row {
  quantity: string;
  unit: string;
  mean: number;
  most: number;
  why: string;
}

/** Bounds, mean and largest error allowed. */
const ROWS = {
  restingDepth: {
    quantity: 'depth under a lap at rest, per turn',
    unit: '% of the peak',
    mean: 1e-9,
    most: 1e-8,
    why: 'the arc under the lap is known exactly',
  },
  roundDepth: {
    quantity: 'mean profile, round lap',
    unit: '% of the peak',
    mean: 0.02,
    most: 0.5,
    why: 'points 1.25 mm apart; the largest error sits at the rims, where the lap begins to cover a ring at once',
  },
  starDepth: {
    quantity: 'mean profile, star lap',
    unit: '% of the peak',
    mean: 0.01,
    most: 0.1,
    why: 'points 3.3 mm apart; a star covers a ring gradually',
  },
  volume: {
    quantity: 'volume against load x path',
    unit: '%',
    mean: 0.02,
    most: 0.05,
    why: 'the profile is taken as straight between rings 0.5 mm apart',
  },
  mapMean: {
    quantity: 'mean of the map round a ring',
    unit: '% of the peak',
    mean: 0.01,
    most: 0.1,
    why: 'cells of 1 degree take the speed in their middle; the rim cuts them exactly',
  },
  partialTurn: {
    quantity: 'orders 1 to 4 of a part of a turn',
    unit: '% of the depth of a turn',
    mean: 0.002,
    most: 0.01,
    why: 'a mean over cells of 1 degree, put right for each order',
  },
  wholeTurn: {
    quantity: 'orders 1 to 8 of whole turns',
    unit: '% of the peak',
    mean: 1e-9,
    most: 1e-8,
    why: 'sums over azimuths cancel exactly; what is left is rounding',
  },
  pressure: {
    quantity: 'pressure at the rim of the glass, lap overhanging',
    unit: '%',
    mean: 1e-4,
    most: 1e-3,
    why: 'arcs and rings by Gauss, with their ends put where they are',
  },
  tilt: {
    quantity: 'tilt by a raised pivot, spinning lap',
    unit: '% of the mean pressure',
    mean: 0.2,
    most: 0.5,
    why: 'the direction of friction turns sharply where the lap stands on the glass; 60 nodes see that roughly',
  },
  flank: {
    quantity: '10-90 % width of a flank',
    unit: 'mm',
    mean: 0.02,
    most: 0.1,
    why: 'read off the profile between rings',
  },
  centroid: {
    quantity: 'centroid of a stint',
    unit: 'mm',
    mean: 0.002,
    most: 0.01,
    why: 'errors at the two rims nearly cancel',
  },
  facets: {
    quantity: 'share of the face that facets leave',
    unit: '%',
    mean: 0.1,
    most: 0.2,
    why: 'counted on a lattice of 200 by 360 cells',
  },
  pattern: {
    quantity: 'lap pattern, peak to valley',
    unit: '%',
    mean: 10,
    most: 20,
    why: 'rings 1 mm apart and orientations 3 degrees apart round off the finest marks of channels and points',
  },
} satisfies Record<string, Row>;

const measured = new Map<keyof typeof ROWS, number[]>();

/** Notes errors of a row and holds them to its bounds. */
function hold(name: keyof typeof ROWS, errors: readonly number[]): void {
  const all = [...(measured.get(name) ?? []), ...errors.map(Math.abs)];
  measured.set(name, all);
  const { mean, most } = ROWS[name];
  expect(all.length).toBeGreaterThan(0);
  expect(Math.max(...all)).toBeLessThanOrEqual(most);
  expect(all.reduce((sum, error) => sum + error, 0) / all.length).toBeLessThanOrEqual(mean);
}

const K = 1e-12;
const STROKES = { turns: 5, strokes: 88 };
const JOBS = [
  { ...STROKES, settingMm: 90, lengthMm: 80 },
  { ...STROKES, settingMm: 90, lengthMm: 80, nudge: { everyStrokes: 4, byMm: 10 } },
  { ...STROKES, settingMm: 70, lengthMm: 40, widthMm: 16 },
  { ...STROKES, settingMm: 120, lengthMm: 60, widthMm: -12 },
  { ...STROKES, settingMm: 40, lengthMm: 60 },
];

function errorsOf(found: Float64Array, truth: Float64Array): number[] {
  const peak = Math.max(...truth);
  return [...truth].flatMap((value, j) => (value > 0 ? [(100 * (found[j]! - value)) / peak] : []));
}

function forecast(job: (typeof JOBS)[number], lap: Lap, fineness?: { pointStepMm: number; ringStepMm?: number }) {
  return prepareRemoval({ path: formulaPath(job), lap, glass: FLAT_GLASS, kPerPa: K, ...fineness });
}

describe('the accuracy of', () => {
  it('a lap at rest', () => {
    const path = freePath(
      1,
      (u) => [u, 0, 70, 0],
      () => [1, 0, 0, 0],
    );
    const { at } = unitProfile(path, roundLap(30), { count: 1 });
    const errors: number[] = [];
    for (let r = 41; r < 100; r++) {
      const way = 2 * r * Math.acos((70 ** 2 + r ** 2 - 30 ** 2) / (2 * 70 * r));
      errors.push((100 * (at(r) * Math.PI * 900 - way)) / 61.6848);
    }
    hold('restingDepth', errors);
  });

  it.each(JOBS.map((job, i) => [i, job] as const))('profiles and their measures, stroke %s', (_, job) => {
    for (const [row, lap] of [
      ['roundDepth', roundLap(30, { pivotHeightMm: 8 })],
      ['starDepth', starLap(35, 8, 14, { pivotHeightMm: 8 })],
    ] as const) {
      const found = profileNm(forecast(job, lap));
      const truth = profileNm(forecast(job, lap, { pointStepMm: 0.02 }));
      hold(row, errorsOf(found, truth));
      const [a, b] = [found, truth].map((depthNm) => ({ stepMm: 0.5, depthNm }));
      hold('centroid', [centroidMm(a!) - centroidMm(b!)]);
      for (const way of [1, -1] as const) {
        const [one, other] = [flankWidthMm(a!, way), flankWidthMm(b!, way)];
        if (one !== null && other !== null) hold('flank', [one - other]);
      }
    }
  });

  it('volume', () => {
    for (const job of JOBS) {
      const profile = unitProfile(formulaPath(job), roundLap(30), { count: 88 * 96, free: true, rimMm: 200 });
      const way = profile.points.reduce(
        (sum, { turns, motion }) => sum + turns * Math.hypot(motion.out, motion.along),
        0,
      );
      hold('volume', [100 * (volumeOf(profile) / way - 1)]);
    }
  });

  it('the map', () => {
    for (const job of JOBS) {
      const removal = forecast(job, roundLap(30, { pivotHeightMm: 8 }));
      const map = mapOf(removalOrders(removal, 360, 180));
      const means = Float64Array.from({ length: map.rings.count }, (_, j) => {
        let sum = 0;
        for (let c = 0; c < 360; c++) sum += map.depthNm[j * 360 + c]!;
        return sum / 360;
      });
      hold('mapMean', errorsOf(means, profileNm(removal)));
      const orders = removalOrders(removal, 360, 8);
      const peak = Math.max(...profileNm(removal));
      // Nudges on 22 of 88 strokes in 5 turns fall on 22 azimuths: none of the orders to 8 is left.
      for (let m = 1; m <= 8; m++) hold('wholeTurn', [(100 * Math.max(...amplitudeNm(orders, m))) / peak]);
    }
  });

  it('parts of a turn', () => {
    for (const fraction of [0.1, 0.25, 0.5, 0.83]) {
      const path = formulaPath({ turns: 2, strokes: 200, settingMm: 70, lengthMm: 0 });
      const task = { path, lap: roundLap(30), glass: FLAT_GLASS, kPerPa: K };
      const orders = removalOrders(prepareRemoval({ ...task, untilTurns: 1 + fraction }), 360, 4);
      const turn = profileNm(prepareRemoval({ ...task, untilTurns: 1 }));
      for (const radius of [45, 60, 75, 95]) {
        const half = Math.acos((70 ** 2 + radius ** 2 - 30 ** 2) / (2 * 70 * radius));
        for (let m = 1; m <= 4; m++) {
          const expected = Math.abs(
            (2 / (Math.PI * m)) * Math.sin(Math.PI * m * fraction) * (Math.sin(m * half) / (m * half)),
          );
          hold('partialTurn', [100 * (amplitudeNm(orders, m)[2 * radius]! / turn[2 * radius]! - expected)]);
        }
      }
    }
  });

  it('pressures', () => {
    const face = lapFace(roundLap(30));
    const solver = new ContactSolver({ face, glass: { rimMm: 100, holeMm: 0 }, frictionHeightMm: 0, law: 'balanced' });
    // Computed with 25 digits from the balance of force and moment.
    for (const [centre, atRim] of [
      [75, 1.2281865],
      [80, 1.6819697],
    ] as const) {
      const { p0, gx } = solver.solve(centre, { out: 0, along: 1, spin: 0 })!;
      hold('pressure', [100 * (((p0 + gx * (100 - centre)) * Math.PI * 900) / atRim - 1)]);
    }
    for (const [out, along] of [
      [2000, 500],
      [300, -200],
      [100, 100],
      [20, 40],
    ] as const) {
      const spin = -6.28;
      const raised = new ContactSolver({
        face,
        glass: { rimMm: 300, holeMm: 0 },
        frictionHeightMm: 2.4,
        law: 'balanced',
      });
      const found = raised.solve(150, { out, along, spin })!;
      // The same balance on a lattice of half a million cells.
      const step = 0.075;
      let [fx, fy, area] = [0, 0, 0];
      for (let x = -30 + step / 2; x < 30; x += step)
        for (let y = -30 + step / 2; y < 30; y += step) {
          if (x * x + y * y > 900) continue;
          const p = found.p0 + found.gx * x + found.gy * y;
          const speed = Math.hypot(out - spin * y, along + spin * x);
          fx += (p * (out - spin * y)) / speed;
          fy += (p * (along + spin * x)) / speed;
          area++;
        }
      const tiltOf = (force: number): number => ((2.4 * force) / area) * Math.PI * 900 * (4 / 900) * 30;
      const mean = 1 / (Math.PI * 900);
      hold('tilt', [
        (100 * (found.gx * 30 - tiltOf(fx) * mean)) / mean,
        (100 * (found.gy * 30 - tiltOf(fy) * mean)) / mean,
      ]);
    }
  });

  it('facets and their pattern', () => {
    for (const facets of [
      { pitchMm: 12, channelMm: 2, offsetXMm: 3, offsetYMm: 2 },
      { pitchMm: 15, channelMm: 3, offsetXMm: 0, offsetYMm: 0 },
    ]) {
      const lap = roundLap(30, { facets });
      // By lines: on each the length on facets is counted finely.
      let [on, all] = [0, 0];
      for (let x = -29.99; x < 30; x += 0.02) {
        const proud = (mm: number): boolean =>
          Math.abs(mm / facets.pitchMm - Math.round(mm / facets.pitchMm)) * facets.pitchMm <
          (facets.pitchMm - facets.channelMm) / 2;
        for (let y = -29.99; y < 30; y += 0.02) {
          if (x * x + y * y > 900) continue;
          all++;
          if (proud(x - facets.offsetXMm) && proud(y - facets.offsetYMm)) on++;
        }
      }
      hold('facets', [100 * (facetShare(lap) / (on / all) - 1)]);
    }
    for (const lap of [
      roundLap(30, { facets: { pitchMm: 12, channelMm: 2, offsetXMm: 3, offsetYMm: 2 } }),
      starLap(35, 8, 14),
      starLap(35, 5, 14),
    ]) {
      const job = { turns: 2, strokes: 35, settingMm: 90, lengthMm: 60, lapTurnsOfStroke: (i: number) => (i * 9) / 35 };
      const path = formulaPath(job);
      const task = { path, lap, glass: FLAT_GLASS, kPerPa: K };
      const found = peakToValleyNm(lapPattern(prepareRemoval(task), 360));
      // Each stroke 3 nm further out than the one before is a kind of its own, so that its orientation is taken as it is.
      const apart = {
        ...path,
        sample(u: number, out: Float64Array) {
          path.sample(u, out);
          out[2]! += 3e-6 * Math.floor((u / 2) * 35 + 1e-9);
        },
      };
      const fine = prepareRemoval({ ...task, path: apart, pointStepMm: 1.25, ringStepMm: 0.25 });
      expect(fine.kinds).toHaveLength(35);
      hold('pattern', [100 * (found / peakToValleyNm(lapPattern(fine, 360)) - 1)]);
    }
  });
});

const table = (): string =>
  [
    '| quantity | unit | mean error allowed | largest error allowed | why so large |',
    '| --- | --- | --- | --- | --- |',
    ...Object.values(ROWS).map(
      ({ quantity, unit, mean, most, why }) => `| ${quantity} | ${unit} | ${mean} | ${most} | ${why} |`,
    ),
  ].join('\n');

it('stands in planner/ACCURACY.md as it is tested', () => {
  const page = readFileSync(join(__dirname, '../../planner/ACCURACY.md'), 'utf8');
  expect(page).toContain(table());
});

afterAll(() => {
  const lines = Object.entries(ROWS).map(([name, row]) => {
    const errors = measured.get(name as keyof typeof ROWS) ?? [];
    const mean = errors.reduce((sum, error) => sum + error, 0) / errors.length;
    const figure = (value: number): string => value.toExponential(1);
    return (
      `${row.quantity} (${row.unit}): mean ${figure(mean)} of ${row.mean}, largest ${figure(Math.max(...errors))} of ${row.most}, ` +
      `${errors.length} compared`
    );
  });
  console.log(`${lines.join('\n')}\n\n${table()}`);
});
