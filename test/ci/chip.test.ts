/** A small share of the proofs on the emulated chips (test/proof/chip-*.proof.ts has them in full): motion, halts, resets, a noisy line. */
import { describe, expect, it } from 'vitest';
import { CHIP_BOARDS } from '../chip/chip-host';
import { noiseImage, noiseVirtual } from '../chip/chip-noise';
import { dipInMotion, expectComesUpStill, hangUntilBitten } from '../chip/chip-resets';
import { coordinatedMove, fullRate, reversals } from '../chip/full-rate';
import { guardImage, haltImage, haltVirtual } from '../chip/halts';
import { BROKEN_FRAMES, endLinkInMotion, RESET_BYTE } from '../chip/link-ends';
import { damagedInMotion, noiseInMotion } from '../chip/noise-in-motion';

it('the core halts at 500 random moments', () => expect(haltVirtual(500, 1)).toBe(500));
it('a million random bytes move nothing on the core', () => noiseVirtual(1_000_000, 2));

describe.each(CHIP_BOARDS)('the image of the %s board', (board) => {
  it('walks all its axes at 20,000 steps/s for a second on a saturated line', () => console.log(fullRate(board, 1)));
  it('ends a coordinated move within a tick', () => console.log(coordinatedMove(board)));
  it('keeps DIR clear of STEP', () => console.log(reversals(board, 1)));
  it('halts at 500 random moments', () => console.log(haltImage(board, 500, 3)));
  it('eases at 20 random moments when the guard opens', () => console.log(guardImage(board, 20, 4)));
  it('is bitten when its main loop hangs in motion, and comes up still', () => {
    const { bitten, ms } = hangUntilBitten(board, 5);
    expect(ms).toBeLessThan(260);
    expectComesUpStill(board, bitten, 8);
  });
  it('comes up still after a dip of the supply in motion', () => expectComesUpStill(board, dipInMotion(board, 6), 4));
  it('50,000 random bytes move nothing', () => noiseImage(board, 50_000, 7));
  it.each([RESET_BYTE, BROKEN_FRAMES])('eases on $words in motion; nothing moves before open, clear and pace', (end) =>
    console.log(endLinkInMotion(board, end, 1, 8)),
  );
  it('takes none of 20 damaged frames while it walks', () => console.log(damagedInMotion(board, 20, 9)));
  it('stays on its path through random bytes 3 times', () => console.log(noiseInMotion(board, 3, 10)));
});
