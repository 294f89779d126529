import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { offGlass, reachOf } from '../../planner/program/reach';
import { demoShelf } from './reading';

const glass = demoShelf().glasses['glass-300']!;
const lap = demoShelf().laps['round-60']!;

describe('how far a pattern reaches', () => {
  it('the ends of a straight stroke lie on its chord', () => {
    const reach = reachOf({ settingMm: 90, lengthMm: 80, widthMm: 0, nudgeMm: 0 });
    expect(reach.farthestMm).toBeCloseTo(Math.sqrt(90 ** 2 + 40 ** 2), 9);
    expect(reach.nearestMm).toBe(90);
  });

  it('an ellipse crosses mid-stroke at the setting plus and minus half its width', () => {
    const reach = reachOf({ settingMm: 90, lengthMm: 10, widthMm: 16, nudgeMm: 0 });
    expect(reach.farthestMm).toBeCloseTo(98, 9);
    expect(reach.nearestMm).toBeCloseTo(82, 9);
  });

  it('a nudge sets the far end off by its whole amount', () => {
    expect(reachOf({ settingMm: 30, lengthMm: 80, widthMm: 0, nudgeMm: 10 }).lowestMm).toBe(20);
    // The far end lies at x = 40, y = 100 + 10.
    const outwards = reachOf({ settingMm: 100, lengthMm: 80, widthMm: 0, nudgeMm: -10 });
    expect(outwards.farthestMm).toBeCloseTo(Math.hypot(40, 110), 9);
  });
});

it('nothing is said about a pattern whose every place is on the glass, and something about every other', () => {
  const mm = (max: number) => fc.integer({ min: 0, max: max * 10 }).map((tenths) => tenths / 10);
  const pattern = fc.record({
    settingMm: mm(160),
    lengthMm: mm(200),
    widthMm: mm(100),
    nudgeMm: mm(60).map((each) => each - 30),
  });
  const outcomes = { on: 0, off: 0 };
  fc.assert(
    fc.property(pattern, (each) => {
      // An oracle of its own: places drawn densely, not those the reader samples.
      let leaves = false;
      let close = false;
      for (let i = 0; i < 2500; i++) {
        const psi = (i / 2500) * 2 * Math.PI + 0.001;
        for (const nudge of [0, each.nudgeMm]) {
          const x = (-each.lengthMm / 2) * Math.cos(psi);
          const y = each.settingMm + (each.widthMm / 2) * Math.sin(psi) - nudge * ((1 - Math.cos(psi)) / 2) ** 2;
          const outside = Math.max(Math.hypot(x, y) - 149, -y);
          if (outside > 0.01) leaves = true;
          else if (outside > -0.01) close = true;
        }
      }
      if (close && !leaves) return;
      outcomes[leaves ? 'off' : 'on'] += 1;
      expect(offGlass(each, glass, lap) !== null).toBe(leaves);
    }),
    { seed: 40, numRuns: 400 },
  );
  expect(outcomes.on).toBeGreaterThan(50);
  expect(outcomes.off).toBeGreaterThan(50);
});

it('over a hole the lap tips when its load line leaves the crescent that bears it', () => {
  // Oracle: the load line must lie within the hull of the contact, whose inner border joins the horns of the crescent.
  fc.assert(
    fc.property(fc.integer({ min: 0, max: 900 }), fc.integer({ min: 50, max: 600 }), (setting, radius) => {
      const settingMm = setting / 10;
      const radiusMm = radius / 10;
      const holeMm = 120;
      const round = { ...lap, outline: { shape: 'round', diameterMm: 2 * radiusMm } as const };
      const off = offGlass({ settingMm, lengthMm: 1e-9, widthMm: 0, nudgeMm: 0 }, { ...glass, holeMm }, round);
      if (settingMm + radiusMm < 60) return void expect(off?.message).toMatch(/tips into it/);
      if (radiusMm >= 60 + settingMm) return void expect(off).toBeNull();
      const hornsMm = (settingMm ** 2 + 60 ** 2 - radiusMm ** 2) / (2 * settingMm);
      if (Math.abs(hornsMm - settingMm) < 0.01) return;
      expect(off === null).toBe(hornsMm < settingMm);
    }),
    { seed: 41, numRuns: 500 },
  );
});
