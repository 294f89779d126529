/** Halt at 10,000 random moments of a walk at full speed and the guard at 1,000: on the core, and on both images cycle by cycle. */
import { describe, expect, it } from 'vitest';
import { CHIP_BOARDS } from '../chip/chip-host';
import { guardImage, guardVirtual, haltImage, haltVirtual } from '../chip/halts';

const HALTS = 10_000;
const GUARDS = 1_000;

describe('the core in WebAssembly', () => {
  it(`halts at ${HALTS} moments`, () => expect(haltVirtual(HALTS, 101)).toBe(HALTS));
  it(`eases at ${GUARDS} moments when the guard opens`, () => guardVirtual(GUARDS, 102));
});

describe.each(CHIP_BOARDS)('the image of the %s board', (board) => {
  it(`halts at ${HALTS} moments`, () => console.log(haltImage(board, HALTS, 103)));
  it(`eases at ${GUARDS} moments when the guard opens`, () => console.log(guardImage(board, GUARDS, 104)));
});
