import { describe, expect, it } from 'vitest';
import { gearProgram } from '../../planner/gearing/gearing';
import { buildPath } from '../../planner/path/path';
import type { Path } from '../../planner/path/types';
import type { Stint } from '../../planner/program/types';
import type { Stand } from '../../planner/stand/types';
import { demoStand, program } from '../support/programs';

const TURNS_PER_SECOND = 2.5 / 60;

const pathOf = (stints: Partial<Stint>[], stand?: Stand): Path => {
  const asked = program(stints);
  return buildPath(gearProgram(asked), asked, stand);
};

const derived = (path: Path, u: number): Float64Array => {
  const out = new Float64Array(8);
  path.derivatives(u, out);
  return out;
};

/** Largest speed and acceleration (with the easing's share) of one quantity of the path in [from, to], per second. */
function largest(path: Path, quantity: number, from: number, to: number): { speed: number; acceleration: number } {
  let [speed, acceleration] = [0, 0];
  for (let i = 0; i < 20_000; i++) {
    const motion = derived(path, from + ((to - from) * i) / 20_000);
    const v = Math.abs(motion[quantity]!) * TURNS_PER_SECOND;
    speed = Math.max(speed, v);
    acceleration = Math.max(acceleration, Math.abs(motion[4 + quantity]!) * TURNS_PER_SECOND ** 2 + v * (1.5 / 0.5));
  }
  return { speed, acceleration };
}

describe('blends', () => {
  it('last one stroke where nothing forbids it, and none where nothing changes', () => {
    const path = pathOf([{}, { lengthMm: 60 }, { lengthMm: 60 }, { lengthMm: 60, strokesPerMinute: 40 }], demoStand);
    expect(path.stints.map(({ blendStrokes }) => blendStrokes)).toEqual([0, 1, 0, 1]);
    expect(path.rests).toEqual([]);
  });

  it('are over when they say they are', () => {
    const path = pathOf([{}, { lengthMm: 60, settingMm: 70, shape: 'ellipse', widthMm: 10 }]);
    const { geared, fromTurns } = path.stints[1]!;
    const v = 1.25 / geared.strokesPerTurn;
    const place = path.at(fromTurns + v);
    expect(place.xMm).toBeCloseTo(0, 9);
    expect(place.yMm).toBeCloseTo(70 - 5, 9);
    expect(path.at(fromTurns + 0.5 / geared.strokesPerTurn).yMm).toBeCloseTo(80, 9);
  });

  it('last longer where an axis could not follow', () => {
    // 90 mm in one stroke of 1.36 s: 1.875 * 90 / 1.36 = 124 mm/s, more than the radial slide's 120.
    const stints = [{ settingMm: 130 }, { settingMm: 40 }];
    const free = pathOf(stints);
    const bound = pathOf(stints, demoStand);
    expect(free.stints[1]!.blendStrokes).toBe(1);
    expect(largest(free, 2, 6, 7).speed).toBeGreaterThan(120);
    expect(bound.stints[1]!.blendStrokes).toBe(2);
    expect(largest(bound, 2, 6, 7).speed).toBeLessThanOrEqual(120);
    expect(bound.rests).toEqual([]);
  });

  it('keep the share of acceleration that easing needs', () => {
    const axes = { ...demoStand.axes, radial: { ...demoStand.axes.radial, maxAcceleration: 270 } };
    const path = pathOf([{ settingMm: 130 }, { settingMm: 80 }], { ...demoStand, axes });
    const { blendStrokes, fromTurns, geared } = path.stints[1]!;
    expect(blendStrokes).toBeGreaterThan(1);
    const end = fromTurns + blendStrokes / geared.strokesPerTurn;
    expect(largest(path, 2, fromTurns, end).acceleration).toBeLessThanOrEqual(270);
  });

  it('are not lengthened for what a pattern asks by itself', () => {
    const axes = { ...demoStand.axes, stroke: { ...demoStand.axes.stroke, maxAcceleration: 500 } };
    const path = pathOf([{}, { settingMm: 85 }], { ...demoStand, axes });
    expect(path.stints[1]!.blendStrokes).toBe(1);
    expect(path.rests).toEqual([]);
  });
});

describe('planned rests', () => {
  it('come where no blend would do; after one the rate starts anew and the lap still does not jump', () => {
    const axes = { ...demoStand.axes, radial: { ...demoStand.axes.radial, maxSpeed: 70 } };
    const stints = [{ strokesPerMinute: 45 }, { turns: 1, strokesPerMinute: 5, settingMm: 60, lengthMm: 40 }];
    const path = pathOf(stints, { ...demoStand, axes });
    expect(path.rests).toHaveLength(1);
    expect(path.rests[0]).toMatchObject({ turns: 6, reason: 'pattern change' });
    expect(path.rests[0]!.words).toContain('line 11');
    const psiRate = 2 * Math.PI * path.stints[1]!.geared.strokesPerTurn;
    expect(derived(path, 6)[5]).toBeCloseTo(40 * psiRate ** 2, 6);
    expect(path.at(6 - 1e-12).xMm).toBeCloseTo(path.at(6).xMm, 6);
    expect(path.at(6 - 1e-12).yMm).toBeCloseTo(path.at(6).yMm, 6);
  });

  it('come where the stroke would have to run backwards, whatever the stand', () => {
    expect(pathOf([{ strokesPerMinute: 60 }, { strokesPerMinute: 20 }]).rests).toHaveLength(1);
    expect(pathOf([{ strokesPerMinute: 20 }, { strokesPerMinute: 60 }]).rests).toHaveLength(0);
    expect(pathOf([{ strokesPerMinute: 40 }, { strokesPerMinute: 20 }]).rests).toHaveLength(0);
  });

  it('come before each hand clocking, at the index; the lapTurn axis holds', () => {
    const byHand = { kind: 'byHand' as const, everyTurns: 2, byDeg: 40 };
    const path = pathOf([{ turns: 5, clocking: byHand }, { turns: 3 }, { turns: 4, clocking: byHand }]);
    expect(path.rests.map(({ turns, reason }) => [turns, reason])).toEqual([
      [2, 'hand clocking'],
      [4, 'hand clocking'],
      [8, 'hand clocking'],
      [10, 'hand clocking'],
    ]);
    expect(path.rests[0]!.words).toContain('40 deg');
    for (const u of [0, 3.3, 8, 12]) expect(path.at(u).lapTurns).toBe(0);
  });
});
