/** The fault campaign with a fresh seed, and every case that once failed. */
import { randomInt } from 'node:crypto';
import { expect, test } from 'vitest';
import { failureWords, onceFailed, runCampaign } from '../faults/campaign';
import { runCase } from '../faults/case';

const CASES = 500;
const seed = randomInt(2 ** 31);

test(`${CASES} cases of seed ${seed}: nothing lost, nothing moved by surprise`, async () => {
  console.log(`fault campaign: seed ${seed}`);
  const { failed, cases } = await runCampaign(seed, CASES);
  expect(failed.map(failureWords).join('\n')).toBe('');
  expect(cases).toBe(CASES);
});

test.each(onceFailed())('once failed: $found', async (once) => {
  const result = await runCase(once);
  expect(result.wrong.length === 0 ? '' : failureWords(result)).toBe('');
});
