import { describe, expect, it } from 'vitest';
import { planProgram } from '../../planner/path/plan';
import type { Stint } from '../../planner/program/types';
import type { AxisName, Stand } from '../../planner/stand/types';
import { planTime } from '../../planner/timing/timing';
import type { LimitComplaint } from '../../planner/timing/types';
import { demoStand, program } from '../support/programs';

type Driven = Exclude<AxisName, 'spare'>;

/** The demo stand with one axis changed. */
const standWith = (name: Driven, change: Partial<Stand['axes'][Driven]>): Stand => ({
  ...demoStand,
  axes: { ...demoStand.axes, [name]: { ...demoStand.axes[name], ...change } },
});

const pattern: Partial<Stint> = {
  turns: 5,
  shape: 'ellipse',
  widthMm: 16,
  nudge: { everyStrokes: 3, byMm: 8 },
  clocking: { kind: 'steps', everyStrokes: 2, askedDeg: 40, share: 0.5 },
};

const find = (complaints: readonly LimitComplaint[], axis: Driven, what: LimitComplaint['what']): LimitComplaint => {
  const found = complaints.find((complaint) => complaint.axis === axis && complaint.what === what);
  expect(found, `${axis} ${what} among ${complaints.map((c) => `${c.axis} ${c.what}`).join()}`).toBeDefined();
  return found!;
};

describe('a program that the stand can walk', () => {
  it('gets a law and no complaints', () => {
    const { law, complaints } = planProgram(program([pattern, { turns: 3 }]), demoStand);
    expect(complaints).toEqual([]);
    expect(law!.durationSeconds).toBeCloseTo(8 / (2.5 / 60) + 0.5, 9);
    expect(law!.cruiseTurnsPerSecond).toBeCloseTo(2.5 / 60, 12);
  });

  it('of a single turn works, and so does going on anywhere', () => {
    const one = program([{ turns: 1 }]);
    expect(planProgram(one, demoStand).law!.toTurns).toBe(1);
    const { path } = planProgram(one, demoStand);
    for (const from of [0, 0.25, 0.5, 0.99, 0.99999, 1 - Number.EPSILON / 2]) {
      const { law, complaints } = planTime(path, one, demoStand, from);
      expect(complaints).toEqual([]);
      expect(law!.fromTurns).toBe(from);
      expect(law!.turnsAt(law!.durationSeconds)).toBe(1);
    }
    expect(planTime(path, one, demoStand, 1).law).toBeNull();
    expect(planTime(path, one, demoStand, Number.NaN).law).toBeNull();
  });

  it('may end at an earlier index: what lies behind that is not judged', () => {
    const asked = program([{ turns: 4 }, { turns: 4, lengthMm: 110 }]);
    const stand = standWith('stroke', { maxSpeed: 250 });
    const { path, law } = planProgram(asked, stand);
    expect(law).toBeNull();
    const early = planTime(path, asked, stand, 0, 4);
    expect(early.complaints).toEqual([]);
    expect(early.law!.turnsAt(early.law!.durationSeconds)).toBe(4);
  });

  it('rests where the path does, also when it is gone on with', () => {
    const byHand = program([{ turns: 9, clocking: { kind: 'byHand', everyTurns: 3, byDeg: 40 } }]);
    const { path, law } = planProgram(byHand, demoStand);
    expect(law!.restSeconds.map((t) => law!.turnsAt(t))).toEqual([3, 6]);
    const later = planTime(path, byHand, demoStand, 3.5).law!;
    expect(later.restSeconds.map((t) => later.turnsAt(t))).toEqual([6]);
    // Going on from the rest itself: it is behind.
    expect(planTime(path, byHand, demoStand, 3).law!.restSeconds).toHaveLength(1);
  });
});

describe('a broken limit', () => {
  const cases: [Driven, 'speed' | 'acceleration', Partial<Stand['axes'][Driven]>][] = [
    ['turntable', 'speed', { maxSpeed: 0.03 }],
    ['turntable', 'acceleration', { maxAcceleration: 0.1 }],
    ['stroke', 'speed', { maxSpeed: 150 }],
    ['stroke', 'acceleration', { maxAcceleration: 900 }],
    ['radial', 'speed', { maxSpeed: 30 }],
    ['radial', 'acceleration', { maxAcceleration: 200 }],
    ['lapTurn', 'speed', { maxSpeed: 0.2 }],
    ['lapTurn', 'acceleration', { maxAcceleration: 1 }],
  ];

  it.each(cases)('%s %s: no law, and the rate that is told fits', (axis, what, change) => {
    const stand = standWith(axis, change);
    const asked = program([pattern]);
    const { geared, path, law, complaints } = planProgram(asked, stand);
    expect(law).toBeNull();
    const complaint = find(complaints, axis, what);
    expect(complaint.needed).toBeGreaterThan(complaint.allowed);
    expect(complaint.line).toBe(10);
    expect(complaint.message).toContain(complaint.unit);
    const fits = complaint.fits!;
    // The same path walked slower by that much.
    const slower =
      'turntableRpm' in fits ? fits.turntableRpm / 2.5 : fits.strokesPerMinute / (geared[0]!.strokesPerTurn * 2.5);
    expect(slower).toBeLessThan(1);
    const walk = planTime(path, { ...asked, turntableRpm: 2.5 * slower }, stand);
    expect(walk.complaints.filter((c) => c.axis === axis && c.what === what)).toEqual([]);
    // And no slower than it must be, beside the room for the gearing's tolerance.
    const exact = 'turntableRpm' in fits ? slower : slower * 1.1;
    const quick = planTime(path, { ...asked, turntableRpm: 2.5 * exact * 1.02 }, stand);
    expect(quick.complaints.some((c) => c.axis === axis && c.what === what)).toBe(true);
  });

  it('a rate that is told can be written: the gearing finds strokes near it that fit, whatever else the line breaks', () => {
    for (const strokesPerMinute of [66, 70, 80, 100, 200, 600]) {
      const asked = program([{ ...pattern, strokesPerMinute }]);
      const stand = standWith('stroke', { maxAcceleration: 1500 });
      const { complaints } = planProgram(asked, stand);
      expect(complaints.length).toBeGreaterThan(0);
      const told = complaints.map(({ fits }) => (fits as { strokesPerMinute: number }).strokesPerMinute);
      expect(new Set(told).size).toBe(1);
      const again = planProgram(program([{ ...pattern, strokesPerMinute: told[0]! }]), stand);
      expect(again.complaints, `${strokesPerMinute} a minute, told ${told[0]}`).toEqual([]);
    }
  });

  it('is told in figures a person reads: four digits, no powers of ten, the turntable also in rpm', () => {
    const { complaints } = planProgram(
      program([{ ...pattern, strokesPerMinute: 600 }], { turntableRpm: 8 }),
      demoStand,
    );
    expect(find(complaints, 'turntable', 'speed').message).toContain(
      '0.1333 turn/s (8 rpm), the stand allows 0.08333 turn/s (5 rpm)',
    );
    expect(find(complaints, 'stroke', 'acceleration').message).toMatch(
      / of 1\d{5} mm\/s2, the stand allows 3000 mm\/s2/,
    );
    for (const { message } of complaints) expect(message).not.toMatch(/\de[+-]|\d\.\d{6}/);
  });

  it('speed: the need is the peak of the motion', () => {
    const { complaints, geared } = planProgram(program([{ turns: 4 }]), standWith('stroke', { maxSpeed: 100 }));
    const peak = Math.PI * 80 * geared[0]!.strokesPerTurn * (2.5 / 60);
    expect(find(complaints, 'stroke', 'speed').needed).toBeCloseTo(peak, 1);
  });

  it('travel: both ends, with nothing to slow down', () => {
    const wide = program([{ ...pattern, lengthMm: 300, settingMm: 178 }]);
    const { complaints } = planProgram(wide, demoStand);
    const travel = complaints.filter(({ what }) => what === 'travel');
    expect(travel.map(({ axis, needed, allowed }) => [axis, Math.round(needed), allowed])).toEqual(
      expect.arrayContaining([
        ['stroke', -150, -120],
        ['radial', 186, 180],
      ]),
    );
    for (const { fits, message } of travel) {
      expect(fits).toBeNull();
      expect(message).toContain('change setting');
    }
  });

  it('names the line of the stint it is in, and only what lies ahead', () => {
    const stand = standWith('stroke', { maxSpeed: 250 });
    const asked = program([
      { turns: 4, lengthMm: 110 },
      { turns: 4, lengthMm: 60 },
      { turns: 4, lengthMm: 60 },
    ]);
    const { path, complaints } = planProgram(asked, stand);
    expect(new Set(complaints.map(({ line }) => line))).toEqual(new Set([10]));
    expect(planTime(path, asked, stand, 5).complaints).toEqual([]);
  });

  it('is told once for a line that is walked many times', () => {
    const many = Array.from({ length: 400 }, () => ({ turns: 1, group: 1, line: 4 }));
    const { complaints } = planProgram(program(many), standWith('stroke', { maxSpeed: 100 }));
    expect(complaints.filter(({ what }) => what === 'speed')).toHaveLength(1);
  });
});

describe("the share of acceleration reserved for the chip's easing", () => {
  it.each(['stroke', 'radial', 'lapTurn', 'turntable'] as const)(
    '%s: what the check allows is never exceeded, wherever the walk is eased and goes on',
    (axis) => {
      const asked = program([pattern, { turns: 2, lengthMm: 60, settingMm: 80 }]);
      const impossible = planProgram(asked, standWith(axis, { maxAcceleration: 1e-9 }));
      const needed = Math.max(
        ...impossible.complaints.filter((c) => c.axis === axis && c.what === 'acceleration').map((c) => c.needed),
      );
      const { path, law } = planProgram(asked, demoStand);
      const index = ['turntable', 'stroke', 'radial', 'lapTurn'].indexOf(axis);
      const motion = new Float64Array(8);
      // The chip's ramp by the controller's SPEC.
      const smooth = (s: number): number => (s <= 0 ? 0 : s >= 1 ? 1 : s * s * (3 - 2 * s));
      const slope = (s: number): number => (s <= 0 || s >= 1 ? 0 : 6 * s * (1 - s));
      let worst = 0;
      // tau: time of the law; the pace p = d tau / dt falls from 1 to 0 in 0.5 s of real time, or rises so.
      for (let begin = 0; begin < law!.durationSeconds - 0.5; begin += 0.0371) {
        for (const rising of [false, true]) {
          let tau = begin;
          for (let t = 0; t < 0.5; t += 0.01) {
            const pace = rising ? smooth(t / 0.5) : 1 - smooth(t / 0.5);
            const paceRate = ((rising ? 1 : -1) * slope(t / 0.5)) / 0.5;
            const speed = law!.speedAt(tau);
            const speedRate = (law!.speedAt(tau + 1e-6) - law!.speedAt(tau - 1e-6)) / 2e-6;
            path.derivatives(law!.turnsAt(tau), motion);
            const [v, a] = [motion[index]!, motion[4 + index]!];
            const acceleration = a * (speed * pace) ** 2 + v * (speedRate * pace * pace + speed * paceRate);
            worst = Math.max(worst, Math.abs(acceleration));
            tau += pace * 0.01;
          }
        }
      }
      expect(worst).toBeLessThanOrEqual(needed * 1.001);
      // ... and the reserve is not idle: a good part of it is used.
      expect(worst).toBeGreaterThan(needed * 0.4);
    },
  );
});
