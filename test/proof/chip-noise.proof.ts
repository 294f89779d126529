/** Ten million random bytes into the core, half a million into each image; damaged frames of every kind the CRC is sure to find. */
import { describe, expect, it } from 'vitest';
import { CHIP_BOARDS } from '../chip/chip-host';
import { damagedImage, damagedVirtual, noiseImage, noiseVirtual } from '../chip/chip-noise';

const SAMPLES = 20_000;
/** Of 112 bits: each alone, every pair, and the samples of three bits and of bursts. */
const KINDS = 112 + (112 * 111) / 2 + 2 * SAMPLES;

describe('the core in WebAssembly', () => {
  it('10,000,000 random bytes move nothing', () => noiseVirtual(10_000_000, 201));
  it('takes no damaged frame', () => expect(damagedVirtual(SAMPLES, 202)).toBe(KINDS));
});

describe.each(CHIP_BOARDS)('the image of the %s board', (board) => {
  it('500,000 random bytes move nothing', () => noiseImage(board, 500_000, 203));
  it('takes no damaged frame', () =>
    expect(damagedImage(board, SAMPLES / 10, 204)).toBe(112 + (112 * 111) / 2 + SAMPLES / 5));
});
