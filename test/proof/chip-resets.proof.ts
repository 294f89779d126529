/** Watchdog and brown-out in motion, at 50 moments on each image. */
import { describe, expect, it } from 'vitest';
import { CHIP_BOARDS } from '../chip/chip-host';
import { dipInMotion, expectComesUpStill, hangUntilBitten } from '../chip/chip-resets';

const MOMENTS = 50;

describe.each(CHIP_BOARDS)('the image of the %s board', (board) => {
  it(`a main loop that hangs in motion, ${MOMENTS} times: the watchdog bites, the chip comes up still`, () => {
    let slowest = 0;
    for (let seed = 1; seed <= MOMENTS; seed++) {
      const { bitten, ms } = hangUntilBitten(board, seed);
      slowest = Math.max(slowest, ms);
      expectComesUpStill(board, bitten, 8);
    }
    expect(slowest).toBeLessThan(260);
    console.log(`${board} board: bitten ${slowest.toFixed(1)} ms after the hang at most`);
  });

  it(`a dip of the supply in motion, ${MOMENTS} times: the chip comes up still`, () => {
    for (let seed = 1; seed <= MOMENTS; seed++) expectComesUpStill(board, dipInMotion(board, seed), 4);
  });
});
