/** A noisy line in motion: 10,000 damaged frames and 2,000 rounds of random bytes into the core, 1,000 and 200 into each image. */
import { describe, expect, it } from 'vitest';
import { CHIP_BOARDS } from '../chip/chip-host';
import { damagedInMotion, noiseInMotion, wireBitsInMotion } from '../chip/noise-in-motion';

describe('the core in WebAssembly', () => {
  it('takes none of 10,000 damaged frames while it walks', () => console.log(damagedInMotion('core', 10_000, 501)));
  it('takes no frame of which any bit on the wire is flipped', () => expect(wireBitsInMotion('core', 505)).toBe(151));
  it('stays on its path through random bytes 2,000 times', () => console.log(noiseInMotion('core', 2000, 502)));
});

describe.each(CHIP_BOARDS)('the image of the %s board', (board) => {
  it('takes none of 1,000 damaged frames while it walks', () => console.log(damagedInMotion(board, 1000, 503)));
  it('takes no frame of which any bit on the wire is flipped', () => expect(wireBitsInMotion(board, 506)).toBe(151));
  it('stays on its path through random bytes 200 times', () => console.log(noiseInMotion(board, 200, 504)));
});
