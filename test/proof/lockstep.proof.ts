/**
 * The virtual board is the real controller: 240 random lives of the emulated chips (flashed images under avr8js), relived by the
 * WebAssembly core with not one step edge, tick or status byte different.
 */
import { expect, it } from 'vitest';
import { readManifest } from '../../firmware-host/controller/images';
import { expectAllAlike } from '../chip/alike';

it.each(['reference', 'small'] as const)('120 lives of the %s board are relived to the tick', (board) => {
  const { ramBytes } = readManifest().images.find((image) => image.board === board)!;
  let steps = 0;
  for (let from = 101; from <= 220; from += 20) {
    const figures = expectAllAlike(board, from, from + 19, 80_000, ramBytes);
    steps += figures.steps;
    expect(figures.worstTick).toBeLessThan(397);
  }
  expect(steps).toBeGreaterThan(500_000);
});
