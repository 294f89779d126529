import { describe, expect, it } from 'vitest';
import { type Ask, strokeCandidates } from '../../planner/gearing/candidates';
import { choose, isEven, offerTurns } from '../../planner/gearing/choose';
import { distinctAzimuths, gcd } from '../../planner/gearing/pattern';
import { scorePattern } from '../../planner/gearing/score';

const ask = (over: Partial<Ask> & { deg?: number; every?: number }): Ask => {
  const { deg = 40, every = 3, ...rest } = over;
  return {
    turnsEach: 7,
    occurrences: 1,
    strokesPerTurn: 18,
    rateTolerance: 0.1,
    nudgeEvery: 0,
    lap: { kind: 'steps', every, turns: deg / 360 },
    ...rest,
  };
};

describe('candidates', () => {
  it('hold whole periods and stay within the rate tolerance, nearest to the wanted rate first', () => {
    expect(strokeCandidates(ask({ turnsEach: 6, nudgeEvery: 4 }))).toEqual([108]);
    expect(strokeCandidates(ask({ turnsEach: 7, nudgeEvery: 4 }))).toEqual([120, 132]);
    expect(strokeCandidates(ask({ turnsEach: 7, every: 5, rateTolerance: 0.05 }))).toEqual([125, 130, 120]);
  });

  it('need only close over all occurrences of a group together', () => {
    // 3 x M must hold periods of 12 strokes: M in steps of 4.
    expect(strokeCandidates(ask({ turnsEach: 2, occurrences: 3, nudgeEvery: 4 }))).toEqual([36]);
    expect(strokeCandidates(ask({ turnsEach: 2, occurrences: 1, nudgeEvery: 4 }))).toEqual([36]);
    expect(strokeCandidates(ask({ turnsEach: 3, occurrences: 3, nudgeEvery: 4 }))).toEqual([52, 56]);
  });

  it('are a few thousand at most, the nearest, however long the stint and wide the tolerance', () => {
    const many = strokeCandidates(ask({ turnsEach: 20_000, strokesPerTurn: 1200, rateTolerance: 1 }));
    expect(many.length).toBeLessThanOrEqual(10_000);
    const off = many.map((strokes) => Math.abs(strokes - 24_000_000));
    expect(off[0]).toBe(0);
    expect(off).toEqual([...off].sort((a, b) => a - b));
  });
});

describe('the choice', () => {
  it('refuses the clocking that goes in step with the turntable', () => {
    const fixed = ask({ strokesPerTurn: 120 / 7, rateTolerance: 0, deg: 63 });
    const choice = choose(fixed, []);
    expect(choice.pattern.strokes).toBe(120);
    expect(choice.pattern.lapTurns).not.toBe(7);
    expect(choice.worst).toBeLessThan(0.3);
  });

  it('refuses 9/32 and takes 5/32, but not 5/32 for a star of five points', () => {
    const fixed = (deg: number): Ask => ask({ strokesPerTurn: 128 / 7, rateTolerance: 0, every: 4, deg });
    expect(choose(fixed((9 / 32) * 360), []).pattern.lapTurns).not.toBe(9);
    expect(choose(fixed((5 / 32) * 360), []).pattern.lapTurns).toBe(5);
    const star = choose(fixed((5 / 32) * 360), [5]);
    expect(star.pattern.lapTurns).not.toBe(5);
    expect(star.worst).toBeLessThan(0.3);
  });

  it('is the best of all candidates by its own weights (the early end of the search loses nothing)', () => {
    for (const turnsEach of [3, 5, 6, 7, 8, 11]) {
      for (const nudgeEvery of [0, 4, 5]) {
        for (const every of [2, 3]) {
          const one = ask({ turnsEach, nudgeEvery, every });
          const wanted = turnsEach * 18;
          let best = Number.POSITIVE_INFINITY;
          for (const strokes of strokeCandidates(one)) {
            const clockings = strokes / every;
            for (let j = 1; j < clockings; j++) {
              const deviation = Math.abs(j / clockings / (40 / 360) - 1);
              if (deviation > 0.25) continue;
              const p = { turns: turnsEach, strokes, occurrences: 1, nudgeEvery, clockEvery: every, lapTurns: j };
              const { worst, worstLow } = scorePattern(p, []);
              const lack = Math.max(0, 1 - distinctAzimuths(p) / 9);
              best = Math.min(
                best,
                worst + 0.05 * worstLow + 0.1 * lack + 0.2 * Math.abs(strokes / wanted - 1) + 0.1 * deviation,
              );
            }
          }
          expect(choose(one, []).cost).toBeLessThanOrEqual(best + 1e-12);
        }
      }
    }
  });

  it('prefers evenness to the exact rate, and the exact rate where all are even', () => {
    const long = choose(ask({ turnsEach: 40 }), []);
    expect(long.worst).toBe(0);
    expect(Math.abs(long.rateDeviation)).toBeLessThan(0.01);
    const short = choose(ask({ turnsEach: 7, deg: 63 }), []);
    const exact = choose(ask({ turnsEach: 7, deg: 63, rateTolerance: 0 }), []);
    expect(short.worst).toBeLessThanOrEqual(exact.worst);
  });

  it('keeps the sense of the asked angle', () => {
    const choice = choose(ask({ deg: -40 }), []);
    expect(choice.pattern.lapTurns).toBeLessThan(0);
    expect(choice.lapStep).toBeCloseTo(-40 / 360, 1);
  });

  it('gears 20,000 turns to an even pattern next to what was asked', () => {
    const choice = choose(ask({ turnsEach: 20_000, nudgeEvery: 5, strokesPerTurn: 17.6 }), [8]);
    expect(choice.worst).toBe(0);
    expect(Math.abs(choice.rateDeviation)).toBeLessThan(1e-3);
    expect(choice.lapStep * 360).toBeCloseTo(40, 2);
    expect(choice.pattern.strokes % 15).toBe(0);
  });

  it('never turns a lap steadily at 1:1 or another low ratio', () => {
    for (const asked of [1, -1, 0.5, 1.5, 2 / 3, 0.75, 2]) {
      for (const turnsEach of [1, 2, 3, 5, 8, 12, 60]) {
        const choice = choose(ask({ turnsEach, lap: { kind: 'steady', turns: asked } }), []);
        for (let h = 1; h <= 4; h++) {
          const off = Math.abs(h * choice.lapStep - Math.round(h * choice.lapStep));
          const low = off < 1e-9 && Math.abs(Math.round(h * choice.lapStep)) <= 4;
          expect(low, `asked ${asked} in ${turnsEach} turns, got ${choice.lapStep}`).toBe(false);
        }
        expect(choice.lapStep / asked).toBeGreaterThan(0.7);
        expect(choice.lapStep / asked).toBeLessThan(1.3);
      }
    }
  });
});

describe('offers', () => {
  it('6 turns with every 4th nudged and every 3rd clocked has 9 periods at 3 azimuths; 7 turns is offered', () => {
    const six = ask({ turnsEach: 6, nudgeEvery: 4 });
    const choice = choose(six, []);
    expect(choice.pattern.strokes / 12).toBe(9);
    expect(choice.distinct).toBe(3);
    expect(isEven(choice)).toBe(false);
    const offers = offerTurns(six, choice, []);
    expect(offers[0]?.pattern.turns).toBe(7);
    expect([10, 11]).toContain((offers[0]?.pattern.strokes ?? 0) / 12);
    expect(offers[0]?.distinct).toBe((offers[0]?.pattern.strokes ?? 0) / 12);
  });

  it('end with one that needs no warning', () => {
    const four = ask({ turnsEach: 4, nudgeEvery: 4 });
    const offers = offerTurns(four, choose(four, []), []);
    expect(isEven(offers.at(-1)!)).toBe(true);
    expect(gcd(offers.at(-1)!.pattern.strokes, 12)).toBe(12);
  });
});
