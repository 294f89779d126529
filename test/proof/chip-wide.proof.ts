/** Numbers at their ends on both images: an int of 16 bits reckons them as one of 32 does, and segment numbers go round. */
import { describe, expect, it } from 'vitest';
import { CHIP_BOARDS } from '../chip/chip-host';
import { expectSameWithBothInts, numbersGoRound } from '../chip/wide-numbers';

describe.each(CHIP_BOARDS)('the image of the %s board', (board) => {
  it('reckons with the longest ramp, the longest times and counters that go round as the core does', () =>
    expectSameWithBothInts(board));
  it('walks exactly past segment number 65,535', () => expect(numbersGoRound(board)).toBeGreaterThan(0x1_0000));
});
