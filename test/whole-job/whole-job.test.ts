/** A few whole jobs for every test run; fifty, with the shares that are the goal, in test/proof/whole-job.proof.ts. */
import { describe, expect, it } from 'vitest';
import { seeded } from '../support/random';
import { MOST_CYCLES, play, WAVELENGTH_NM } from './job';
import { openWorkshop } from './run';

describe('the whole job on virtual glass', () => {
  it.each([1, 2, 3])('brings hidden mirror %i within 1/8 wave in five cycles, cutting nowhere deep', async (seed) => {
    const job = play(seed, seeded(seed), await openWorkshop(false));
    expect(job.startPvNm).toBeGreaterThanOrEqual(150);
    expect(job.cycles.length).toBeGreaterThan(0);
    expect(job.cycles.length).toBeLessThanOrEqual(MOST_CYCLES);
    expect(job.endPvNm).toBeLessThanOrEqual(WAVELENGTH_NM / 8);
    expect(job.overcutNm).toBeLessThanOrEqual(15);
  });

  it('learns the coefficient on the way', async () => {
    const job = play(3, seeded(3), await openWorkshop(false));
    const last = job.cycles[job.cycles.length - 1]!;
    expect(job.cycles.length).toBeGreaterThan(1);
    expect(Math.abs(last.kRatio - 1)).toBeLessThan(Math.abs(job.cycles[0]!.kRatio - 1));
    expect(last.kSigma).toBeLessThan(job.cycles[0]!.kSigma);
  });
});
