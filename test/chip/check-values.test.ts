import { describe, expect, it } from 'vitest';
import { VirtualBoard } from '../../firmware-host/controller/wasm/load';
import { crc16, pack, unpack } from './frames';
import { Seeded } from './seeded';

function coreCrc(bytes: readonly number[]): number {
  const { raw } = new VirtualBoard();
  new Uint8Array(raw.memory.buffer).set(bytes, raw.core_scratch());
  return raw.core_crc(bytes.length);
}

describe('CRC-16/IBM-3740', () => {
  it('has the check value of the catalogue of parametrised CRC algorithms', () => {
    const digits = [...'123456789'].map((digit) => digit.charCodeAt(0));
    expect(coreCrc(digits)).toBe(0x29b1);
    expect(crc16(digits)).toBe(0x29b1);
    expect(coreCrc([])).toBe(0xffff);
  });

  it('agrees with the shift register, bit by bit, on random bytes of every length', () => {
    const random = new Seeded(1);
    for (let length = 0; length <= 255; length++) {
      const bytes = Array.from({ length }, () => random.whole(0, 255));
      expect(coreCrc(bytes)).toBe(crc16(bytes));
    }
  });
});

describe('packing', () => {
  it.each([
    [[], []],
    [[0xff], [0x7f, 0x01]],
    [[0x80], [0x00, 0x01]],
    [
      [0x01, 0x80],
      [0x01, 0x00, 0x02],
    ],
    [Array(7).fill(0xff), Array(8).fill(0x7f)],
    [
      [1, 2, 3, 4, 5, 6, 7],
      [0x01, 0x04, 0x0c, 0x20, 0x50, 0x40, 0x41, 0x03],
    ],
  ])('%j is %j on the wire', (bytes, wire) => {
    expect(pack(bytes)).toEqual(wire);
    expect(unpack(wire)).toEqual(bytes);
  });
});
