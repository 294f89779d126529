/** The cable of both images cut at the segments of a walk and at 1,000 random cycles. */
import { describe, it } from 'vitest';
import { CHIP_BOARDS } from '../chip/chip-host';
import { cutAtBorders, cutAtRandom } from '../chip/cut-image';

describe.each(CHIP_BOARDS)('the image of the %s board', (board) => {
  it('rests on its path when the cable is cut as a segment begins, and ends exactly', () =>
    console.log(cutAtBorders(board, 301)));
  it('the same at 1,000 random cycles', () => console.log(cutAtRandom(board, 302, 1000)));
});
