import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { gearProgram } from '../../planner/gearing/gearing';
import { buildPath } from '../../planner/path/path';
import type { Path } from '../../planner/path/types';
import type { Clocking, Program, Stint } from '../../planner/program/types';
import { program } from '../support/programs';

const steps = (everyStrokes: number, askedDeg = 40, share = 0.5): Clocking => ({
  kind: 'steps',
  everyStrokes,
  askedDeg,
  share,
});

const pathOf = (asked: Program): Path => buildPath(gearProgram(asked), asked);

const sampled = (path: Path, u: number): Float64Array => {
  const out = new Float64Array(4);
  path.sample(u, out);
  return out;
};

const derived = (path: Path, u: number): Float64Array => {
  const out = new Float64Array(8);
  path.derivatives(u, out);
  return out;
};

describe('the law of one stint', () => {
  const asked = program([
    {
      turns: 7,
      shape: 'ellipse',
      widthMm: 16,
      sense: -1,
      nudge: { everyStrokes: 5, byMm: 10 },
      clocking: steps(3),
    },
  ]);
  const [g] = gearProgram(asked);
  const path = pathOf(asked);

  it('is the stroke, the ellipse and the nudge of the formula', () => {
    for (let i = 0; i < 2000; i++) {
      const u = (7 * (i + 0.371)) / 2000;
      const psi = (2 * Math.PI * g!.strokes * u) / 7;
      const nudged = Math.floor((g!.strokes * u) / 7) % 5 === 4;
      const [turntable, x, y] = sampled(path, u);
      expect(turntable).toBe(u);
      expect(x).toBeCloseTo(-40 * Math.cos(psi), 8);
      expect(y).toBeCloseTo(90 + 8 * Math.sin(psi) - (nudged ? 10 * Math.sin(psi / 2) ** 4 : 0), 8);
    }
  });

  it('puts a nudged far end inside by the nudge and leaves near ends alone', () => {
    const farEnd = (stroke: number): number => (7 * (stroke + 0.5)) / g!.strokes;
    for (let stroke = 0; stroke < g!.strokes; stroke++) {
      const far = path.at(farEnd(stroke));
      const near = path.at(farEnd(stroke) - 3.5 / g!.strokes);
      expect(far.xMm).toBeCloseTo(40, 9);
      expect(far.yMm).toBeCloseTo(stroke % 5 === 4 ? 80 : 90, 9);
      expect(near.xMm).toBeCloseTo(-40, 9);
      expect(near.yMm).toBeCloseTo(90, 9);
    }
  });

  it('turns the lap about the far end of every m-th stroke only, within its share of it', () => {
    const at = (stroke: number, phase: number): number => path.at((7 * (stroke + phase)) / g!.strokes).lapTurns;
    for (let stroke = 0; stroke < g!.strokes; stroke++) {
      const before = Math.floor(stroke / 3) * g!.clockingTurns;
      const step = stroke % 3 === 2 ? g!.clockingTurns : 0;
      expect(at(stroke, 0.01)).toBeCloseTo(before, 9);
      expect(at(stroke, 0.249)).toBeCloseTo(before, 9);
      expect(at(stroke, 0.5)).toBeCloseTo(before + step / 2, 9);
      expect(at(stroke, 0.751)).toBeCloseTo(before + step, 9);
      expect(at(stroke, 0.99)).toBeCloseTo(before + step, 9);
    }
  });

  it('ends where the stroke began, with the turntable on a whole turn and the lap round whole', () => {
    const end = path.at(7);
    expect(end.turntableTurns).toBe(7);
    expect(end.xMm).toBe(-40);
    expect(end.yMm).toBe(90);
    expect(end.lapTurns).toBeCloseTo(Math.round(end.lapTurns), 12);
    expect(path.at(9)).toEqual(end);
    expect(path.at(-1)).toEqual(path.at(0));
  });

  it('runs anticlockwise seen from above for the sense +1, clockwise for -1', () => {
    // The sign of the area that the track encloses in one stroke (shoelace); no nudge in the first stroke.
    const area = (sense: 1 | -1): number => {
      const one = pathOf(program([{ turns: 3, shape: 'ellipse', widthMm: 16, sense }]));
      let sum = 0;
      for (let i = 0; i < 200; i++) {
        const [a, b] = [
          one.at(i / 200 / one.stints[0]!.geared.strokesPerTurn),
          one.at((i + 1) / 200 / one.stints[0]!.geared.strokesPerTurn),
        ];
        sum += (a.xMm * b.yMm - b.xMm * a.yMm) / 2;
      }
      return sum;
    };
    expect(area(1)).toBeCloseTo(Math.PI * 40 * 8, 0);
    expect(area(-1)).toBeCloseTo(-Math.PI * 40 * 8, 0);
  });

  it('turns a steady lap in proportion to the turntable', () => {
    const steady = program([{ turns: 9, clocking: { kind: 'steady', lapTurnsPerTurn: 0.37 } }]);
    const [geared] = gearProgram(steady);
    const one = pathOf(steady);
    for (const u of [0, 0.3, 4.5, 9]) expect(one.at(u).lapTurns).toBeCloseTo(geared!.clockingTurns * u, 12);
  });
});

/** Evenly spread numbers: fast-check's own doubles crowd at the ends of their range. */
const real = (min: number, max: number): fc.Arbitrary<number> =>
  fc.noBias(fc.integer({ min: 0, max: 1e9 })).map((part) => min + ((max - min) * part) / 1e9);

const anyStint = fc.record<Partial<Stint>>({
  turns: fc.integer({ min: 1, max: 6 }),
  shape: fc.constantFrom('straight' as const, 'ellipse' as const),
  settingMm: real(40, 110),
  lengthMm: real(20, 120),
  widthMm: real(4, 20),
  sense: fc.constantFrom(1 as const, -1 as const),
  strokesPerMinute: real(20, 60),
  nudge: fc.option(fc.record({ everyStrokes: fc.integer({ min: 1, max: 6 }), byMm: real(-12, 12) }), { nil: null }),
  clocking: fc.oneof(
    fc.constant({ kind: 'none' as const }),
    fc.record({
      kind: fc.constant('steps' as const),
      everyStrokes: fc.integer({ min: 1, max: 6 }),
      askedDeg: real(-120, 120).filter((deg) => Math.abs(deg) > 5),
      share: real(0.2, 1),
    }),
    fc.record({ kind: fc.constant('steady' as const), lapTurnsPerTurn: real(-2, 2) }),
    fc.record({
      kind: fc.constant('byHand' as const),
      everyTurns: fc.integer({ min: 1, max: 3 }),
      byDeg: fc.constantFrom(30, 45),
    }),
  ),
  group: fc.integer({ min: 1, max: 2 }),
});
const anyProgram = fc.array(anyStint, { minLength: 1, maxLength: 6 }).map((stints) => program(stints));

describe('a repeated stint', () => {
  it('counts nudges and clockings on over its occurrences, and the lap goes on turning', () => {
    const asked = program(
      Array.from({ length: 6 }, () => ({
        turns: 1,
        group: 1,
        nudge: { everyStrokes: 5, byMm: 6 },
        clocking: steps(4),
      })),
    );
    const geared = gearProgram(asked);
    const path = buildPath(geared, asked);
    const each = geared[0]!.strokes;
    expect(each % 5 === 0 && each % 4 === 0).toBe(false);
    for (let stroke = 0; stroke < 6 * each; stroke++) {
      const farEnd = path.at((stroke + 0.5) / each);
      expect(farEnd.yMm).toBeCloseTo(stroke % 5 === 4 ? 84 : 90, 6);
      const done = Math.floor((stroke + 1) / 4) - (stroke % 4 === 3 ? 0.5 : 0);
      expect(farEnd.lapTurns).toBeCloseTo(done * geared[0]!.clockingTurns, 9);
    }
  });
});

describe('any program', () => {
  it('is continuous in place, and in velocity and acceleration too where there is no rest', () => {
    fc.assert(
      fc.property(anyProgram, (asked) => {
        const path = pathOf(asked);
        const resting = new Set(path.rests.map(({ turns }) => turns));
        for (const { fromTurns } of path.stints.slice(1)) {
          const before = [...sampled(path, fromTurns - 1e-9), ...derived(path, fromTurns - 1e-9)];
          const after = [...sampled(path, fromTurns), ...derived(path, fromTurns)];
          const compared = resting.has(fromTurns) ? 4 : 12;
          for (let i = 0; i < compared; i++) {
            // What 1e-9 of a turn moves by itself: accelerations here are about 1e6 mm a turn squared, a jump would be like that.
            const scale = i < 4 ? 1e-5 : i < 8 ? 1e-2 : 5;
            expect(Math.abs(after[i]! - before[i]!), `quantity ${i} at ${fromTurns}`).toBeLessThan(scale);
          }
        }
      }),
      { seed: 4711, numRuns: 150 },
    );
  });

  it('has the derivatives that finite differences of its places give', () => {
    const shares = fc.array(real(0, 1), { minLength: 40, maxLength: 40 });
    fc.assert(
      fc.property(anyProgram, shares, (asked, list) => {
        const path = pathOf(asked);
        const step = 1e-5;
        for (const share of list) {
          const u = path.turns * share;
          // A difference over a border compares two stints: looked at elsewhere.
          if (
            path.stints.some(
              ({ fromTurns, toTurns }) => Math.min(Math.abs(u - fromTurns), Math.abs(u - toTurns)) < 3 * step,
            )
          )
            continue;
          const [before, after] = [sampled(path, u - step), sampled(path, u + step)];
          const [slopeBefore, exact, slopeAfter] = [derived(path, u - step), derived(path, u), derived(path, u + step)];
          for (let i = 0; i < 4; i++) {
            const slope = (after[i]! - before[i]!) / (2 * step);
            const bend = (slopeAfter[i]! - slopeBefore[i]!) / (2 * step);
            expect(Math.abs(slope - exact[i]!)).toBeLessThan(1e-2 + 1e-5 * Math.abs(exact[i]!));
            expect(Math.abs(bend - exact[4 + i]!)).toBeLessThan(30 + 1e-3 * Math.abs(exact[4 + i]!));
          }
        }
      }),
      { seed: 4712, numRuns: 150 },
    );
  });

  it('keeps whole strokes: at every border the lap stands at the near end of its stroke', () => {
    fc.assert(
      fc.property(anyProgram, (asked) => {
        const path = pathOf(asked);
        for (const { geared, fromTurns, toTurns } of path.stints) {
          const end = path.at(toTurns - 1e-13);
          expect(end.xMm).toBeCloseTo(-geared.stint.lengthMm / 2, 6);
          expect(end.yMm).toBeCloseTo(geared.stint.settingMm, 6);
          // After the blend the stroke is where M strokes in N turns put it, as if there had been no blend.
          const v = geared.turns * 0.999;
          if (v * geared.strokesPerTurn > path.stints.find((s) => s.fromTurns === fromTurns)!.blendStrokes) {
            const psi = 2 * Math.PI * geared.strokesPerTurn * v;
            expect(path.at(fromTurns + v).xMm).toBeCloseTo((-geared.stint.lengthMm / 2) * Math.cos(psi), 6);
          }
        }
        expect(path.at(path.turns).turntableTurns).toBe(path.turns);
        expect(path.at(path.turns).xMm).toBe(-asked.stints.at(-1)!.lengthMm / 2);
      }),
      { seed: 4713, numRuns: 150 },
    );
  });

  it('does not depend on the order in which it is asked', () => {
    fc.assert(
      fc.property(anyProgram, fc.array(real(0, 1), { maxLength: 30 }), (asked, shares) => {
        const geared = gearProgram(asked);
        const path = buildPath(geared, asked);
        for (const share of shares) {
          const u = share * path.turns;
          expect(sampled(path, u)).toEqual(sampled(buildPath(geared, asked), u));
          expect(derived(path, u)).toEqual(derived(buildPath(geared, asked), u));
        }
      }),
      { seed: 4714, numRuns: 20 },
    );
  });

  it('never runs the stroke backwards, however the rate changes: two reversals a stroke, no more', () => {
    const rates = fc.array(real(8, 90), { minLength: 2, maxLength: 5 });
    fc.assert(
      fc.property(rates, (list) => {
        const path = pathOf(program(list.map((strokesPerMinute) => ({ turns: 2, strokesPerMinute }))));
        for (const { geared, fromTurns } of path.stints) {
          let reversals = 0;
          let last = 1;
          const count = 200 * geared.strokes;
          for (let i = 0; i < count; i++) {
            const sign = Math.sign(derived(path, fromTurns + (geared.turns * (i + 0.5)) / count)[1]!);
            if (sign !== last) reversals++;
            last = sign;
          }
          // It leaves each near end outward; the reversal there is the next stroke's begin.
          expect(reversals).toBe(2 * geared.strokes - 1);
        }
      }),
      { seed: 4715, numRuns: 60 },
    );
  });
});
