/** The fault campaign at length, every byte of a walk cut, cases on emulated chips, and hosts killed for good. */
import { expect, test } from 'vitest';
import { failureWords, onceFailed, runCampaign } from '../faults/campaign';
import { runCase } from '../faults/case';
import { cutAfter } from '../faults/cuts';
import { killForGood } from '../faults/kill';

const CASES = 9700;
const PIECE = 970;
const SEED = 20_261_125;
/** Half of them on either board. */
const CHIP_CASES = 200;
const CHIP_PIECE = 20;
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

test.each(
  Array.from(
    { length: CHIP_CASES / CHIP_PIECE },
    (_, piece) => ({ piece, board: piece % 2 === 0 ? 'reference' : 'small' }) as const,
  ),
)('piece $piece on the emulated chip of the $board board', async ({ piece, board }) => {
  const { failed, standSeconds } = await runCampaign(SEED, CHIP_PIECE, piece * CHIP_PIECE, () => {}, board);
  console.log(`${board} board, cases ${piece * CHIP_PIECE}..: ${(standSeconds / 60).toFixed(0)} minutes of the stand`);
  expect(failed.map(failureWords).join('\n')).toBe('');
});

test.each(['toStand', 'toHost'] as const)('the line cut after each byte of a walk to its end, %s', async (way) => {
  let bytes = 1;
  for (; ; bytes++) {
    const { result, cut } = await cutAfter(bytes, way);
    expect(result.wrong.length === 0 ? '' : failureWords(result)).toBe('');
    if (!cut) break;
  }
  console.log(`${bytes - 1} bytes ${way}`);
  expect(bytes).toBeGreaterThan(1000);
});

test(`${KILLS} processes killed while they walk: what they were told is kept is kept, and the place is found`, async () => {
  for (let number = 0; number < KILLS; number++) expect(await killForGood(SEED + number)).toEqual([]);
});
