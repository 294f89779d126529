import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { RestToRest } from '../../planner/timing/law';

const CRUISE = 2.5 / 60;
const RAMP = 0.5;

/** Evenly spread numbers: fast-check's own doubles crowd at the ends of their range. */
const real = (min: number, max: number): fc.Arbitrary<number> =>
  fc.noBias(fc.integer({ min: 0, max: 1e9 })).map((part) => min + ((max - min) * part) / 1e9);

/** Stops with legs from a few thousandths of a turn to thousands of turns. */
const anyStops = fc
  .tuple(real(0, 50), fc.array(real(-2.5, 3.5), { minLength: 1, maxLength: 6 }))
  .map(([start, legs]) => {
    const stops = [start];
    for (const leg of legs) stops.push((stops.at(-1) as number) + 10 ** leg);
    return stops;
  });
const anyLaw = anyStops.map((stops) => new RestToRest(stops, CRUISE, RAMP));
const share = real(0, 1);

describe('a law from rest to rest', () => {
  it('takes N turns at the cruise and one ramp time more for each leg', () => {
    const law = new RestToRest([0, 8, 30], CRUISE, RAMP);
    expect(law.durationSeconds).toBeCloseTo(30 / CRUISE + 2 * RAMP, 10);
    expect(law.restSeconds).toEqual([8 / CRUISE + RAMP]);
    expect(law.turnsAt(law.restSeconds[0]!)).toBe(8);
    expect(law.turnsAt(law.durationSeconds)).toBe(30);
    expect(law.turnsAt(-1)).toBe(0);
    expect(law.turnsAt(1e9)).toBe(30);
    expect(law.speedAt(100)).toBe(CRUISE);
    for (const t of [0, law.restSeconds[0]!, law.durationSeconds, -1, 1e9]) expect(law.speedAt(t)).toBe(0);
  });

  it('keeps the ramp time and runs slower where a leg is too short for full speed', () => {
    const law = new RestToRest([4.99, 5], CRUISE, RAMP);
    expect(law.durationSeconds).toBeCloseTo(2 * RAMP, 12);
    expect(law.speedAt(RAMP)).toBeCloseTo(0.01 / RAMP, 12);
    expect(law.turnsAt(RAMP)).toBeCloseTo(4.995, 12);
  });

  it('has an inverse: turns -> seconds -> turns to 1e-12', () => {
    fc.assert(
      fc.property(anyLaw, share, (law, s) => {
        const turns = law.fromTurns + s * (law.toTurns - law.fromTurns);
        const back = law.turnsAt(law.secondsAt(turns));
        expect(Math.abs(back - turns)).toBeLessThanOrEqual(1e-12 * Math.max(1, turns));
      }),
      { seed: 11, numRuns: 5000 },
    );
  });

  it('has an inverse: seconds -> turns -> seconds, as closely as the turns can be told apart', () => {
    fc.assert(
      fc.property(anyLaw, share, (law, s) => {
        const seconds = s * law.durationSeconds;
        const turns = law.turnsAt(seconds);
        // Near a rest many moments round to one place.
        const speed = law.speedAt(seconds);
        if (speed < 1e-3 * CRUISE) return;
        const resolution = (4 * Number.EPSILON * Math.max(1, turns)) / speed;
        expect(Math.abs(law.secondsAt(turns) - seconds)).toBeLessThanOrEqual(1e-12 * law.durationSeconds + resolution);
      }),
      { seed: 12, numRuns: 5000 },
    );
  });

  it('never goes back, and its speed and rate of speed are the derivatives', () => {
    fc.assert(
      fc.property(anyLaw, share, (law, s) => {
        const step = 1e-4;
        const seconds = step + s * (law.durationSeconds - 2 * step);
        const [before, after] = [law.turnsAt(seconds - step), law.turnsAt(seconds + step)];
        expect(after).toBeGreaterThanOrEqual(before);
        const noise = 1e-12 * Math.max(1, after);
        const slope = (after - before) / (2 * step);
        expect(Math.abs(slope - law.speedAt(seconds))).toBeLessThan(1e-7 + noise / step);
        const bend = Math.abs(law.speedAt(seconds + step) - law.speedAt(seconds - step)) / (2 * step);
        expect(Math.abs(bend - law.speedRateAt(seconds))).toBeLessThan(1e-4 + noise / step);
      }),
      { seed: 13, numRuns: 5000 },
    );
  });

  it('has a bounded jerk: the rate of speed is continuous and changes no faster than a smooth step lets it', () => {
    // Largest third derivative of a quintic smooth step: 10/sqrt(3) at the ends' side; here per T^2.
    const law = new RestToRest([0, 1, 1.01], CRUISE, RAMP);
    const bound = (CRUISE * 10) / Math.sqrt(3) / RAMP ** 2;
    const step = 1e-4;
    const end = law.durationSeconds;
    const signed = (t: number): number => (law.speedAt(t + 1e-6) - law.speedAt(t - 1e-6)) / 2e-6;
    for (let t = 0; t < end; t += 0.0037) {
      if (t > 1 && t < law.restSeconds[0]! - 1) continue;
      expect(Math.abs(signed(t + step) - signed(t)) / step).toBeLessThan(bound * 1.001 + 1e-6);
    }
  });

  it('does not depend on the order in which it is asked', () => {
    fc.assert(
      fc.property(anyStops, fc.array(share, { maxLength: 30 }), (stops, shares) => {
        const law = new RestToRest(stops, CRUISE, RAMP);
        for (const s of shares) {
          const seconds = s * law.durationSeconds;
          expect(law.turnsAt(seconds)).toBe(new RestToRest(stops, CRUISE, RAMP).turnsAt(seconds));
        }
      }),
      { seed: 14, numRuns: 300 },
    );
  });
});
