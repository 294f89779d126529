/** The fault campaign at length, every byte of a walk cut, and hosts killed for good. */
import { expect, test } from 'vitest';
import { failureWords, onceFailed, runCampaign } from '../faults/campaign';
import { runCase } from '../faults/case';
import { cutAfter } from '../faults/cuts';
import { killForGood } from '../faults/kill';

const CASES = 9700;
const PIECE = 970;
const SEED = 20_261_125;
/** The first frames of a walk, both ways. */
const BYTES = 400;
const KILLS = 100;

test.each(Array.from({ length: CASES / PIECE }, (_, piece) => piece))('piece %i of the campaign', async (piece) => {
  const { failed, standSeconds } = await runCampaign(SEED, PIECE, piece * PIECE);
  console.log(
    `cases ${piece * PIECE}..: ${(standSeconds / 3600).toFixed(1)} hours of the stand, ${failed.length} failed`,
  );
  expect(failed.map(failureWords).join('\n')).toBe('');
});

test.each(onceFailed())('once failed: $found', async (once) => {
  const result = await runCase(once);
  expect(result.wrong.length === 0 ? '' : failureWords(result)).toBe('');
});

test.each(['toStand', 'toHost'] as const)('the line cut after each byte of a walk, %s', async (way) => {
  for (let bytes = 1; bytes <= BYTES; bytes++) {
    const result = await cutAfter(bytes, way);
    expect(result.wrong.length === 0 ? '' : failureWords(result)).toBe('');
  }
});

test(`${KILLS} processes killed while they walk: what they were told is kept is kept, and the place is found`, async () => {
  for (let number = 0; number < KILLS; number++) expect(await killForGood(SEED + number)).toEqual([]);
});
