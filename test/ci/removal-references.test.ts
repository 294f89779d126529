/** The forecast against other people's numerics: scipy for partial contact, numpy for stamping a program sample by sample. */
import { describe, expect, it } from 'vitest';
import { ContactSolver } from '../../planner/removal/contact';
import { lapFace } from '../../planner/removal/face';
import { amplitudeNm, mapOf, removalOrders } from '../../planner/removal/map';
import { prepareRemoval, profileNm, type Removal } from '../../planner/removal/removal';
import { FLAT_GLASS, formulaPath, roundLap } from '../removal/support';
import { python, samplesOf, stamp } from './stamping';

describe('partial contact against a direct minimum found by scipy', () => {
  const cases = [
    { radius: 30, rim: 100, hole: 0, centre: 60 },
    { radius: 30, rim: 100, hole: 0, centre: 80 },
    { radius: 30, rim: 100, hole: 0, centre: 86 },
    { radius: 30, rim: 100, hole: 0, centre: 90 },
    { radius: 30, rim: 100, hole: 0, centre: 94 },
    { radius: 25, rim: 150, hole: 30, centre: 45 },
    { radius: 25, rim: 150, hole: 30, centre: 30 },
    { radius: 40, rim: 60, hole: 10, centre: 35 },
  ];
  const found = python<[number, number, number]>(
    'removal_contact.py',
    cases.map((one) => JSON.stringify(one)).join('\n'),
  );

  it.each(cases.map((one, i) => [one.centre, one.hole, one, found[i]!] as const))(
    'centre at %s mm, hole %s mm',
    (_, __, { radius, rim, hole, centre }, [p0, gx, gy]) => {
      const solver = new ContactSolver({
        face: lapFace(roundLap(radius)),
        glass: { rimMm: rim, holeMm: hole },
        frictionHeightMm: 0,
        law: 'balanced',
      });
      const pressure = solver.solve(centre, { out: 0, along: 1, spin: 0 })!;
      const area = Math.PI * radius * radius;
      const size = Math.abs(p0) + Math.hypot(gx, gy);
      expect(Math.abs(pressure.p0 * area - p0) / size).toBeLessThan(3e-3);
      expect(Math.abs(pressure.gx * radius * area - gx) / size).toBeLessThan(3e-3);
      expect(Math.abs(pressure.gy * radius * area - gy) / size).toBeLessThan(3e-3);
    },
  );
});

describe('a program against stamping with numpy', () => {
  it('has the same profile and the same two-fold order', () => {
    const path = formulaPath({
      turns: 2,
      strokes: 23,
      settingMm: 60,
      lengthMm: 50,
      widthMm: 12,
      nudge: { everyStrokes: 4, byMm: 9 },
    });
    const removal = prepareRemoval({
      path,
      lap: roundLap(25),
      glass: { ...FLAT_GLASS, diameterMm: 240 },
      kPerPa: 1e-12,
      untilTurns: 1.3,
    });
    const stamped = stamp(samplesOf(removal), 25, 120, 0.5, 2880);
    const depths = profileNm(removal);
    const orders = amplitudeNm(removalOrders(removal, 360, 2), 2);
    const peak = Math.max(...depths);
    stamped.profile.forEach((value, j) => {
      expect(Math.abs(value * removal.scaleNm - depths[j]!) / peak).toBeLessThan(2e-3);
    });
    stamped.order2.forEach((value, j) => {
      expect(Math.abs(value * removal.scaleNm - orders[j]!) / peak).toBeLessThan(2e-3);
    });
  });

  it('is at least 20 times as fast for the same samples on the same lattice', () => {
    // Two hours at 45 strokes a minute on a glass of 400 mm, 0.5 mm by 1 degree. Stamping goes sample by sample, so 2,000 of them,
    // taken from all over the program, tell its pace.
    const path = formulaPath({
      turns: 300,
      strokes: 5_400 - 1,
      settingMm: 120,
      lengthMm: 60,
      widthMm: 14,
      nudge: { everyStrokes: 5, byMm: 8 },
    });
    const forecast = (): Removal => {
      const removal = prepareRemoval({ path, lap: roundLap(30), glass: FLAT_GLASS, kPerPa: 1e-12 });
      mapOf(removalOrders(removal, 360, 180));
      return removal;
    };
    const removal = forecast();
    const start = performance.now();
    forecast();
    const ours = (performance.now() - start) / 1000;
    const count = removal.strokes.reduce((sum, { kind }) => sum + removal.points[kind]!.length, 0);
    const every = Math.floor(count / 2000);
    const some = samplesOf(removal).filter((_, i) => i % every === 0);
    const stamped = stamp(some, 30, 200, 0.5, 360);
    const theirs = (stamped.seconds * count) / some.length;
    console.log(
      `map of ${removal.strokes.length} strokes, ${count} samples: ${ours.toFixed(3)} s; stamping ${theirs.toFixed(1)} s ` +
        `(${some.length} samples in ${stamped.seconds.toFixed(2)} s): ${(theirs / ours).toFixed(0)} times as fast`,
    );
    expect(theirs / ours).toBeGreaterThan(20);
  });
});
