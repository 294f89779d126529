import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Pattern } from '../../planner/gearing/pattern';
import { lapOrders, printedOrders, scorePattern } from '../../planner/gearing/score';
import { PatternSums } from '../../planner/gearing/sums';
import { plainLap, starLap } from '../support/programs';

const pattern = (turns: number, strokes: number, clockEvery: number, lapTurns: number, nudgeEvery = 0): Pattern => ({
  turns,
  strokes,
  occurrences: 1,
  nudgeEvery,
  clockEvery,
  lapTurns,
});

/** The definition, stroke by stroke, with nothing of the code under test. */
function directShare(p: Pattern, nudged: boolean, q: number, h: number, offsets?: Float64Array): number {
  let [re, im, count] = [0, 0, 0];
  const each = p.strokes / p.occurrences;
  for (let i = 0; i < p.strokes; i++) {
    const isNudged = p.nudgeEvery > 0 && i % p.nudgeEvery === p.nudgeEvery - 1;
    if (isNudged !== nudged) continue;
    const clockings = p.clockEvery > 0 ? Math.floor(p.strokes / p.clockEvery) : 0;
    const steps = clockings > 0 ? (Math.floor(i / p.clockEvery) * p.lapTurns) / clockings : 0;
    const own = p.clockEvery > 0 ? steps : (p.lapTurns * i) / p.strokes;
    const orientation = own + (offsets?.[Math.floor(i / each)] ?? 0);
    const phase = 2 * Math.PI * ((q * i * p.turns) / p.strokes + h * orientation);
    re += Math.cos(phase);
    im += Math.sin(phase);
    count++;
  }
  return count === 0 ? 0 : Math.hypot(re, im) / count;
}

describe('printed share of an order', () => {
  it('is what the direct sum over the strokes gives, whether the pattern closes or not', () => {
    const anyPattern = fc
      .record({
        turns: fc.integer({ min: 1, max: 40 }),
        each: fc.integer({ min: 1, max: 120 }),
        occurrences: fc.integer({ min: 1, max: 5 }),
        nudgeEvery: fc.integer({ min: 0, max: 7 }),
        clockEvery: fc.integer({ min: 0, max: 7 }),
        lapTurns: fc.oneof(
          fc.integer({ min: -40, max: 40 }),
          fc.noBias(fc.integer({ min: -9e6, max: 9e6 })).map((x) => x / 1e6),
        ),
      })
      .map(({ each, turns, occurrences, ...rest }) => ({
        ...rest,
        occurrences,
        turns: turns * occurrences,
        strokes: each * occurrences,
      }));
    const order = fc.tuple(fc.integer({ min: 0, max: 8 }), fc.integer({ min: -8, max: 8 }));
    fc.assert(
      fc.property(anyPattern, order, fc.boolean(), fc.boolean(), (p, [q, h], nudged, shifted) => {
        const offsets = shifted
          ? Float64Array.from({ length: p.occurrences }, (_, o) => o * 0.37 + o * o * 0.11)
          : undefined;
        expect(new PatternSums(p, offsets).share(nudged, q, h)).toBeCloseTo(directShare(p, nudged, q, h, offsets), 9);
      }),
      { seed: 20261, numRuns: 3000 },
    );
  });

  it('is that too where nudges and clockings meet again only after more strokes than there are', () => {
    const rare = fc.record({
      turns: fc.integer({ min: 1, max: 90 }),
      strokes: fc.integer({ min: 1, max: 1500 }),
      nudgeEvery: fc.integer({ min: 1, max: 200 }),
      clockEvery: fc.integer({ min: 0, max: 200 }),
      lapTurns: fc.integer({ min: -40, max: 40 }),
    });
    fc.assert(
      fc.property(
        rare,
        fc.boolean(),
        fc.integer({ min: 0, max: 8 }),
        fc.integer({ min: -8, max: 8 }),
        (r, nudged, q, h) => {
          const p = { ...r, occurrences: 1 };
          const sums = new PatternSums(p);
          const some = nudged ? r.strokes >= r.nudgeEvery : r.nudgeEvery > 1;
          expect(sums.has(nudged)).toBe(some);
          expect(sums.share(nudged, q, h)).toBeCloseTo(directShare(p, nudged, q, h), 9);
        },
      ),
      { seed: 20262, numRuns: 400 },
    );
  });

  it('leaves only the orders k N of N equal clockings (indexing theorem, Evans & Kestner 1996)', () => {
    for (const clockings of [5, 6, 7, 12, 16]) {
      // One turn of the lap in so many equal steps, azimuth not asked for (q = 0).
      const p = pattern(3, 4 * clockings, 4, 1);
      for (let h = 1; h <= 40; h++) {
        expect(new PatternSums(p).share(false, 0, h), `${clockings} clockings, order ${h}`).toBeCloseTo(
          h % clockings === 0 ? 1 : 0,
          12,
        );
      }
    }
  });

  it('vanishes exactly when K does not divide q N + h j, for turntable and lap together', () => {
    const p = pattern(7, 128, 4, 5);
    for (let q = 0; q <= 8; q++) {
      for (let h = -8; h <= 8; h++) {
        if (q === 0 && h === 0) continue;
        const share = new PatternSums(p).share(false, q, h);
        if ((7 * q + 5 * h) % 32 !== 0) expect(share).toBe(0);
        else expect(share).toBeGreaterThan(0.01);
      }
    }
  });
});

describe('known patterns (computed from the formula)', () => {
  it('7 turns, 120 strokes, every 3rd clocked by 7/40: the lap clocks in step with the turntable', () => {
    const orders = printedOrders(pattern(7, 120, 3, 7), [], 4);
    expect(orders[0]).toMatchObject({ q: 1, h: -1 });
    expect(orders[0]?.share).toBeCloseTo(0.956, 3);
    expect(orders[1]).toMatchObject({ q: 2, h: -2 });
    expect(orders[1]?.share).toBeCloseTo(0.8288, 4);
  });

  it('7 turns, 128 strokes, every 4th clocked: 9/32 prints the two-fold fault, 5/32 is clear up to order 4', () => {
    const nine = printedOrders(pattern(7, 128, 4, 9), [], 4);
    expect(nine[0]).toMatchObject({ q: 2, h: 2 });
    expect(nine[0]?.share).toBeCloseTo(0.728, 3);
    const five = pattern(7, 128, 4, 5);
    expect(scorePattern(five, []).worst).toBe(0);
    const fifth = printedOrders(five, [], 5).find(({ h }) => h === 5);
    expect(fifth?.q).toBe(1);
    expect(fifth?.share).toBeGreaterThan(0.9);
    expect(scorePattern(five, lapOrders(starLap(5))).worst).toBeGreaterThan(0.9);
  });

  it('a lap turning 1:1 with the turntable prints its faults in full, and so does any low ratio', () => {
    expect(scorePattern(pattern(8, 144, 0, 8), []).worst).toBeCloseTo(1, 12);
    expect(scorePattern(pattern(8, 144, 0, -4), []).worst).toBeCloseTo(1, 12);
    expect(scorePattern(pattern(9, 162, 0, 6), []).worst).toBeCloseTo(1, 12);
    expect(scorePattern(pattern(11, 198, 0, 5), []).worst).toBeLessThan(1e-12);
  });

  it('a lap that is not turned is scored by azimuth alone', () => {
    expect(scorePattern(pattern(7, 126, 0, 0), []).worst).toBe(0);
    // Two strokes a turn work at two places: the strokes themselves are two-fold.
    const two = printedOrders(pattern(5, 10, 0, 0), [8], 8);
    expect(two.map(({ q, h }) => [q, h])).toEqual([
      [2, 0],
      [4, 0],
      [6, 0],
      [8, 0],
    ]);
  });

  it("knows the lap's own orders: star points, and two and four for square facets", () => {
    const faceted = { ...plainLap, facets: { pitchMm: 12, channelMm: 2, offsetXMm: 0, offsetYMm: 0 } };
    expect(lapOrders(plainLap)).toEqual([]);
    expect(lapOrders(faceted)).toEqual([2, 4]);
    expect(lapOrders({ ...starLap(8), facets: faceted.facets })).toEqual([2, 4, 8]);
  });
});
