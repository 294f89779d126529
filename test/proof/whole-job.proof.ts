/** Fifty hidden mirrors, measured by readings and by a perfect tester. Takes a few minutes. */
import { describe, expect, it } from 'vitest';
import { seeded } from '../support/random';
import { type Job, play, type Workshop } from '../whole-job/job';
import { openWorkshop, tally } from '../whole-job/run';

const MIRRORS = 50;

async function jobs(workshop: Workshop): Promise<Job[]> {
  const played: Job[] = [];
  for (let seed = 1; seed <= MIRRORS; seed++) played.push(await play(seed, seeded(seed), workshop));
  return played;
}

describe('fifty whole jobs on virtual glass', () => {
  it('by readings: within 1/8 wave in 90 %, overcut at most 15 nm in 85 % and 30 nm in 95 %', async () => {
    const workshop = await openWorkshop(false);
    const shares = tally(await jobs(workshop));
    console.log(`by readings: ${JSON.stringify(shares)}`);
    expect(shares.within).toBeGreaterThanOrEqual(0.9);
    expect(shares.overcut15).toBeGreaterThanOrEqual(0.85);
    expect(shares.overcut30).toBeGreaterThanOrEqual(0.95);
  });

  it('by a perfect tester: all within 1/8 wave, overcut at most 10 nm', async () => {
    const workshop = await openWorkshop(true);
    const shares = tally(await jobs(workshop));
    console.log(`by a perfect tester: ${JSON.stringify(shares)}`);
    expect(shares.within).toBe(1);
    expect(shares.overcut10).toBe(1);
  });
});
