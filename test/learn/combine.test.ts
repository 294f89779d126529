import { describe, expect, it } from 'vitest';
import { BEFORE_LEARNING, combine } from '../../planner/learn/combine';
import type { RunEvidence } from '../../planner/learn/types';
import { depthShareOf } from '../../planner/suggest/suggest';
import { normal } from '../figure/synthetic';
import { seeded } from '../support/random';

function run(kPerPa: number, change: Partial<RunEvidence> = {}): RunEvidence {
  return {
    id: 'r',
    kPerPa,
    kSigmaPerPa: 0.08 * Math.abs(kPerPa),
    ratio: 1,
    radiusMm: [],
    shapeResidualNm: [],
    shapeBandNm: [],
    misfit: 1,
    causes: [],
    atMinutes: 30,
    meanSpeedMmPerS: 80,
    ...change,
  };
}

const PRIOR = { kPerPa: 8e-13, sigma: 0.3 };

describe('coefficients of several runs', () => {
  it('without any run are what was likely before, and as doubtful', () => {
    expect(combine([], BEFORE_LEARNING, 0)).toEqual({
      kPerPa: BEFORE_LEARNING.kPerPa,
      sigma: BEFORE_LEARNING.sigma,
      runs: 0,
      breakIn: null,
      warnings: [],
    });
  });

  it('draw the mean to what was measured, the more the surer', () => {
    const one = combine([run(5e-13)], PRIOR, 0);
    const four = combine([run(5e-13), run(5e-13), run(5e-13), run(5e-13)], PRIOR, 0);
    // Computed from the formula: 8 to 30 % and 5 to 8 % and a scatter of 10 sqrt 2 %, each by its weight.
    expect(one.kPerPa / 5.337e-13).toBeCloseTo(1, 3);
    expect(Math.abs(four.kPerPa - 5e-13)).toBeLessThan(Math.abs(one.kPerPa - 5e-13));
    expect(four.sigma).toBeLessThan(one.sigma);
    expect(one.sigma).toBeLessThan(PRIOR.sigma);
  });

  it('that disagree leave the next run doubtful, however sure each is of itself', () => {
    const agreeing = combine(
      [5, 5.1, 4.9, 5].map((k) => run(k * 1e-13, { kSigmaPerPa: 1e-14 })),
      PRIOR,
      0,
    );
    const scattered = combine(
      [3, 7, 4, 6.5].map((k) => run(k * 1e-13, { kSigmaPerPa: 1e-14 })),
      PRIOR,
      0,
    );
    expect(scattered.sigma).toBeGreaterThan(3 * agreeing.sigma);
    expect(scattered.sigma).toBeGreaterThan(0.2);
  });

  // The promise behind 1 / (1 + 2 sigma) of the depth: at most 2.5 of 100 runs cut deeper; 0.3 more for the chance of 3,000 laps.
  it.each([1, 2, 5, 12])(
    'after %i runs keep the next one above the target, for laps that scatter up to a tenth',
    (count) => {
      for (const scatter of [0.03, 0.06, 0.1]) {
        const random = seeded(2024);
        const laps = 3000;
        let deeper = 0;
        let share = 0;
        for (let lap = 0; lap < laps; lap++) {
          const truth = PRIOR.kPerPa * (1 + PRIOR.sigma * Math.max(-2.5, normal(random)));
          const doubt = 0.05 * truth;
          const measured = Array.from({ length: count }, () => {
            const k = truth * (1 + scatter * normal(random)) + doubt * normal(random);
            return run(k, { kSigmaPerPa: doubt });
          });
          const { kPerPa, sigma } = combine(measured, PRIOR, 0);
          if (truth * (1 + scatter * normal(random)) > kPerPa * (1 + 2 * sigma)) deeper++;
          share += depthShareOf(sigma) / laps;
        }
        expect(deeper / laps, `scatter ${scatter}`).toBeLessThanOrEqual(0.028);
        // Nor is it bought by hardly working: what is promised lies near what even perfect knowledge of the scatter would allow.
        expect(share, `scatter ${scatter}`).toBeGreaterThan(count === 1 ? 0.7 : count === 2 ? 0.75 : 0.79);
      }
    },
  );

  it('learn that a fresh lap cuts less, and what that means for the next run', () => {
    const at = [5, 15, 30, 60, 120, 240];
    const runs = at.map((minutes) => {
      const k = 8e-13 * (1 - 0.4 * Math.exp(-minutes / 40));
      return run(k, { atMinutes: minutes, kSigmaPerPa: 0.02 * k });
    });
    const learned = combine(runs, PRIOR, 400);
    expect(learned.breakIn!.atFirst).toBeCloseTo(-0.4, 1);
    expect(learned.breakIn!.minutes).toBe(40);
    expect(Math.abs(learned.kPerPa / 8e-13 - 1)).toBeLessThan(0.02);
    expect(combine(runs, PRIOR, 0).kPerPa / learned.kPerPa).toBeCloseTo(0.6, 1);
  });

  it('see no break-in in mere scatter', () => {
    const random = seeded(31);
    let believed = 0;
    for (let lap = 0; lap < 300; lap++) {
      const runs = [10, 40, 90, 150, 220].map((atMinutes) => {
        return run(8e-13 * (1 + 0.08 * normal(random)), { atMinutes, kSigmaPerPa: 0.08 * 8e-13 });
      });
      if (combine(runs, PRIOR, 300).breakIn) believed++;
    }
    expect(believed / 300).toBeLessThan(0.12);
  });

  it('flag a pace that changed by more than a quarter, and not by less', () => {
    const slow = [run(8e-13), run(8e-13), run(8e-13, { meanSpeedMmPerS: 58 })];
    expect(combine(slow, PRIOR, 0).warnings[0]).toMatch(/walked 28 % slower/);
    const alike = [run(8e-13), run(8e-13), run(8e-13, { meanSpeedMmPerS: 62 })];
    expect(combine(alike, PRIOR, 0).warnings).toEqual([]);
  });

  it('keep a run that noise turned negative, and warn of one that is negative beyond noise', () => {
    const noisy = combine([run(8e-13), run(-1e-13, { kSigmaPerPa: 4e-13 })], PRIOR, 0);
    expect(noisy.warnings).toEqual([]);
    expect(noisy.kPerPa).toBeLessThan(combine([run(8e-13)], PRIOR, 0).kPerPa);
    const odd = combine([run(-6e-13, { id: 'friday', kSigmaPerPa: 1e-13 })], PRIOR, 0);
    expect(odd.warnings[0]).toMatch(/^Run friday seems to have added glass/);
    expect(odd.kPerPa).toBeGreaterThan(0);
  });
});
