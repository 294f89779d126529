/** A few whole jobs for every test run; fifty, with the shares that are the goal, in test/proof/whole-job.proof.ts. */
import { expect, test } from 'vitest';
import { seeded } from '../support/random';
import { MOST_CYCLES, play, WAVELENGTH_NM } from './job';
import { openWorkshop } from './run';

test('hidden mirrors come within 1/8 wave in five cycles, cut nowhere deep, and teach their coefficient', async () => {
  const workshop = await openWorkshop(false);
  for (const seed of [1, 2, 3]) {
    const { startPvNm, endPvNm, overcutNm, cycles } = await play(seed, seeded(seed), workshop);
    expect(startPvNm).toBeGreaterThanOrEqual(150);
    expect(endPvNm).toBeLessThanOrEqual(WAVELENGTH_NM / 8);
    expect(overcutNm).toBeLessThanOrEqual(15);
    expect(cycles.length).toBeGreaterThan(1);
    expect(cycles.length).toBeLessThanOrEqual(MOST_CYCLES);
    const [first, last] = [cycles[0]!, cycles[cycles.length - 1]!];
    expect(Math.abs(last.kRatio - 1)).toBeLessThan(Math.abs(first.kRatio - 1));
    expect(last.kSigma).toBeLessThan(first.kSigma);
  }
});
