/** A receiver overrun at each byte of a frame, on both images: counted, the frame dropped, and taken when it is sent again. */
import { expect, it } from 'vitest';
import { CHIP_BOARDS } from '../chip/chip-host';
import { receiverOverrun } from '../chip/line-traps';

it.each(CHIP_BOARDS)('the image of the %s board', (board) => expect(receiverOverrun(board, 1)).toBeGreaterThan(10));
