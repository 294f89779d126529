/** A link that ends in motion, at 50 moments on each image: by 0xFF, and by more broken frames than 20 in a second. */
import { describe, it } from 'vitest';
import { CHIP_BOARDS } from '../chip/chip-host';
import { BROKEN_FRAMES, endLinkInMotion, RESET_BYTE } from '../chip/link-ends';

describe.each(CHIP_BOARDS)('the image of the %s board', (board) => {
  it('eases on 0xFF at 50 moments, and moves again only after open, clear and pace', () =>
    console.log(endLinkInMotion(board, RESET_BYTE, 50, 401)));
  it('the same where more than 20 frames of a second are broken', () =>
    console.log(endLinkInMotion(board, BROKEN_FRAMES, 50, 402)));
});
