import { describe, expect, it } from 'vitest';
import { gearGroups, gearProgram } from '../../planner/gearing/gearing';
import { reversalRing } from '../../planner/gearing/ring';
import type { GearedStint } from '../../planner/gearing/types';
import type { Clocking } from '../../planner/program/types';
import { plainLap, program, starLap } from '../support/programs';

const steps = (everyStrokes: number, askedDeg = 40): Clocking => ({
  kind: 'steps',
  everyStrokes,
  askedDeg,
  share: 0.5,
});

/** A repeat of two lines, as the reader unrolls it: A B A B A B with the groups 1 and 2. */
const repeated = (times: number) =>
  program(
    Array.from({ length: times }, () => [
      { turns: 2, clocking: steps(4), group: 1, line: 10 },
      { turns: 1, clocking: steps(2), group: 2, line: 11, shape: 'ellipse' as const, widthMm: 16 },
    ]).flat(),
  );

/** Evenness of every other stint, from all its strokes with the lap's orientation as it comes, walked through the whole program. */
function walkedEvenness(geared: readonly GearedStint[], own: number): number {
  let lap = 0;
  const at: [azimuth: number, orientation: number][] = [];
  geared.forEach((g, index) => {
    const every = g.stint.clocking.kind === 'steps' ? g.stint.clocking.everyStrokes : 1;
    for (let i = 0; i < g.strokes; i++) {
      if (index % 2 === own) at.push([(i * g.turns) / g.strokes, lap]);
      if ((g.strokesBefore + i + 1) % every === 0) lap += g.clockingTurns;
    }
  });
  let worst = 0;
  for (let q = 0; q <= 4; q++) {
    for (let h = -4; h <= 4; h++) {
      if (q === 0 && h === 0) continue;
      const sum = (wave: (x: number) => number): number =>
        at.reduce((total, [azimuth, orientation]) => total + wave(2 * Math.PI * (q * azimuth + h * orientation)), 0);
      worst = Math.max(worst, Math.hypot(sum(Math.cos), sum(Math.sin)) / at.length);
    }
  }
  return 1 - worst;
}

describe('a single stint', () => {
  it('is told in whole strokes, nudges and clockings', () => {
    const asked = program([{ turns: 11, nudge: { everyStrokes: 5, byMm: 10 }, clocking: steps(3) }]);
    const [g] = gearProgram(asked);
    expect(g!.strokes % 15).toBe(0);
    expect(g!.nudges).toBe(g!.strokes / 5);
    expect(g!.clockings).toBe(g!.strokes / 3);
    expect(Number.isInteger(Math.round(g!.clockingTurns * g!.clockings * 1e9) / 1e9)).toBe(true);
    expect(g!.rateDeviation).toBeCloseTo(g!.strokes / (11 * 17.6) - 1, 12);
    expect(Math.abs(g!.rateDeviation)).toBeLessThanOrEqual(0.1);
    expect(g!.strokesPerTurn).toBe(g!.strokes / 11);
    expect(g!.evenness).toBeGreaterThan(0.7);
    expect(g!.warnings).toEqual([]);
  });

  it('warns in plain words with the orders that remain, and offers other turns', () => {
    const asked = program([
      { turns: 6, strokesPerMinute: 45, nudge: { everyStrokes: 4, byMm: 5 }, clocking: steps(3) },
    ]);
    const [g] = gearProgram(asked);
    expect(g!.distinctAzimuths).toBe(3);
    expect(g!.evenness).toBeLessThan(0.7);
    const words = g!.warnings.join('\n');
    expect(words).toMatch(/the lap's \w+-fold fault.* would print as astigmatism with 0\.\d\d/);
    expect(words).toContain('7 turns with 120 strokes');
    expect(words).not.toContain('order 8');
  });

  it('says when no number of strokes is within the tolerance, and takes the nearest', () => {
    const [g] = gearProgram(program([{ turns: 1, strokesPerMinute: 44, rateTolerance: 0.01 }]));
    expect(g!.strokes).toBe(18);
    expect(g!.warnings.join()).toContain('within 1.0 % of the wanted rate; 18 strokes are 2.3 % too fast');
  });

  it('says when nudges and clockings cannot come round', () => {
    const [g] = gearProgram(program([{ turns: 1, nudge: { everyStrokes: 4, byMm: 5 }, clocking: steps(5) }]));
    expect(g!.warnings.join()).toContain('repeat every 20 strokes');
  });

  it('warns about few azimuths where they leave an order above the scored ones, and only there', () => {
    const nudged = { turns: 4, strokesPerMinute: 45, rateTolerance: 0, nudge: { everyStrokes: 3, byMm: 5 } };
    const [few] = gearProgram(program([nudged]));
    expect(few!.distinctAzimuths).toBe(6);
    expect(few!.evenness).toBe(1);
    expect(few!.warnings.join()).toContain('only 6 azimuths');
    expect(few!.warnings.join()).toContain('the nudges would print as an error of order 6');
    // Clocked at 6 azimuths, but stroked at 18: nothing is left there.
    const turns = Array.from({ length: 100 }, () => ({ turns: 1, group: 1, clocking: steps(3) }));
    const [clocked] = gearProgram(program(turns));
    expect(clocked!.distinctAzimuths).toBeLessThan(9);
    expect(clocked!.warnings).toEqual([]);
  });

  it('comes to an end also where nudges and clockings hardly ever meet in a very long stint', () => {
    const asked = program([
      { turns: 20_000, strokesPerMinute: 1250, nudge: { everyStrokes: 4999, byMm: 3 }, clocking: steps(5000) },
    ]);
    const [g] = gearProgram(asked);
    expect(g!.nudges).toBe(Math.floor(g!.strokes / 4999));
    expect(g!.warnings.join()).toContain(`repeat every ${4999 * 5000} strokes`);
  });

  it('gears even one turn with a slow stroke', () => {
    const [g] = gearProgram(program([{ turns: 1, strokesPerMinute: 1 }]));
    expect(g!.strokes).toBe(1);
    expect(g!.evenness).toBe(0);
  });
});

describe('a lap that gearing does not turn', () => {
  it.each([
    ['none', { clocking: { kind: 'none' as const } }, 'stay as rings'],
    ['free', { clocking: { kind: 'free' as const } }, 'turns freely'],
    ['by hand', { clocking: { kind: 'byHand' as const, everyTurns: 4, byDeg: 90 } }, 'four-, eight-fold'],
  ])('%s: azimuths are scored, and the words say what stays', (_name, stint, words) => {
    const [g] = gearProgram(program([{ turns: 16, ...stint }]));
    expect(g!.clockings).toBe(0);
    expect(g!.clockingTurns).toBe(0);
    expect(g!.evenness).toBe(1);
    expect(g!.warnings).toHaveLength(1);
    expect(g!.warnings[0]).toContain(words);
  });

  it('free: a clocking in the program does nothing, and that is said', () => {
    const asked = program([{ turns: 16, clocking: steps(3) }], { lap: { ...plainLap, rotation: 'free' } });
    const [g] = gearProgram(asked);
    expect(g!.clockings).toBe(0);
    expect(g!.warnings.join()).toContain('clocking of this stint does nothing');
  });

  it('hand turnings that leave nothing up to order 8 need no warning', () => {
    const [g] = gearProgram(program([{ turns: 11, clocking: { kind: 'byHand', everyTurns: 1, byDeg: 360 / 11 } }]));
    expect(g!.warnings).toEqual([]);
  });

  it('by hand, but never within the stint: said so', () => {
    const [g] = gearProgram(program([{ turns: 6, clocking: { kind: 'byHand', everyTurns: 10, byDeg: 140 } }]));
    expect(g!.warnings).toHaveLength(1);
    expect(g!.warnings[0]).toContain('not turned by hand within this stint');
  });

  it('clocked only once: said so, and turned as asked', () => {
    const [g] = gearProgram(program([{ turns: 1, clocking: steps(17, 50) }]));
    expect(g!.clockings).toBe(1);
    expect(g!.clockingTurns).toBeCloseTo(50 / 360, 12);
    expect(g!.warnings.join()).toContain('only once');
  });

  it('fewer strokes than one clocking needs', () => {
    const [g] = gearProgram(program([{ turns: 1, clocking: steps(30) }]));
    expect(g!.clockings).toBe(0);
    expect(g!.clockingTurns).toBe(0);
    expect(g!.warnings.join()).toContain('fewer strokes');
  });
});

describe('a repeated group', () => {
  it('counts nudges and clockings on from one occurrence to the next and closes over all of them', () => {
    const asked = program(
      Array.from({ length: 5 }, () => ({
        turns: 1,
        group: 7,
        nudge: { everyStrokes: 5, byMm: 4 },
        clocking: steps(3),
      })),
    );
    const geared = gearProgram(asked);
    const strokes = geared[0]!.strokes;
    expect(geared.map((g) => g.strokes)).toEqual(Array(5).fill(strokes));
    expect(geared.map((g) => g.strokesBefore)).toEqual([0, 1, 2, 3, 4].map((o) => o * strokes));
    expect((5 * strokes) % 15).toBe(0);
    const sum = (pick: (g: (typeof geared)[0]) => number): number => geared.reduce((total, g) => total + pick(g), 0);
    expect(sum((g) => g.nudges)).toBe(strokes);
    expect(sum((g) => g.clockings)).toBe((5 * strokes) / 3);
    const lap = sum((g) => g.clockings * g.clockingTurns);
    expect(lap).toBeCloseTo(Math.round(lap), 9);
  });

  it('does better than each occurrence could alone', () => {
    const one = { turns: 1, clocking: steps(2) };
    const alone = gearProgram(program([one]))[0]!;
    const together = gearProgram(program(Array.from({ length: 12 }, () => ({ ...one, group: 7 }))))[0]!;
    expect(together.evenness).toBeGreaterThan(alone.evenness + 0.2);
  });

  it('of stints that ask for different things is geared each alone', () => {
    const asked = program([
      { turns: 2, group: 7, clocking: steps(3) },
      { turns: 3, group: 7, clocking: steps(3) },
    ]);
    expect(gearProgram(asked).map((g) => g.strokesBefore)).toEqual([0, 0]);
  });

  it('is chosen and scored with what the stints in between turn the lap by', () => {
    for (const [times, turnsA, turnsB, everyA, everyB] of [
      [2, 2, 1, 3, 2],
      [2, 3, 2, 4, 2],
      [4, 2, 2, 4, 2],
      [3, 2, 1, 3, 2],
      [4, 2, 1, 4, 2],
      [4, 1, 1, 3, 2],
      [4, 3, 1, 3, 2],
      [70, 1, 1, 4, 2],
      [1100, 2, 1, 3, 3],
    ] as const) {
      const geared = gearProgram(
        program(
          Array.from({ length: times }, () => [
            { turns: turnsA, clocking: steps(everyA), group: 1 },
            { turns: turnsB, clocking: steps(everyB), group: 2 },
          ]).flat(),
        ),
      );
      for (const own of [0, 1]) expect(geared[own]!.evenness).toBeCloseTo(walkedEvenness(geared, own), 9);
    }
    // Each by itself would be even too, but with the other in between these clockings would leave 0.5 and more.
    const both = gearProgram(
      program(
        Array.from({ length: 4 }, () => [
          { turns: 3, clocking: steps(2), group: 1 },
          { turns: 2, clocking: steps(2), group: 2 },
        ]).flat(),
      ),
    );
    expect(both.map((g) => g.evenness > 0.9)).not.toContain(false);
  });

  it('is geared quickly even when it is the whole of a long program', () => {
    const geared = gearProgram(repeated(6000));
    expect(geared).toHaveLength(12_000);
    expect(geared[0]!.strokes * 6000).toBe(geared.at(-2)!.strokesBefore + geared[0]!.strokes);
  });
});

describe('what the Evenness drawing shows', () => {
  it('orders that remain are told up to 8 and for the own orders of the lap', () => {
    const [group] = gearGroups(program([{ turns: 1, clocking: steps(2) }], { lap: starLap(10) }));
    expect(group!.remaining.length).toBeGreaterThan(0);
    expect(group!.remaining[0]!.share).toBeGreaterThanOrEqual(group!.remaining.at(-1)!.share);
    expect(Math.max(...group!.remaining.map(({ q }) => q))).toBeLessThanOrEqual(8);
    expect(group!.remaining.some(({ h }) => Math.abs(h) === 10)).toBe(true);
  });

  it('the ring of reversals: far ends at odd half strokes, nudged ones apart, coinciding places once', () => {
    const [g] = gearProgram(
      program([{ turns: 2, strokesPerMinute: 5, rateTolerance: 0, nudge: { everyStrokes: 2, byMm: 3 } }]),
    );
    expect(g!.strokes).toBe(4);
    const ring = reversalRing(g!);
    expect(ring.near).toEqual([0, 0.5]);
    expect(ring.far).toEqual([0.25]);
    expect(ring.nudged).toEqual([0.75]);
  });
});
