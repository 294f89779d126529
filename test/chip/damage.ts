/** Frames damaged in ways that CRC-16/IBM-3740 is sure to find: one, two or three bits, or a burst of up to 16 bits in the CRC's own order. */
import { pack, unpack } from './frames';
import type { Seeded } from './seeded';

/** Payload bits of the wire (seven to a byte, between F0 0C and F7) flipped. */
export function flipped(wire: readonly number[], bits: Iterable<number>): number[] {
  const bad = [...wire];
  for (const bit of bits) bad[2 + Math.floor(bit / 7)]! ^= 1 << (bit % 7);
  return bad;
}

/** So many payload bits of a frame flipped, any of them. */
export function flippedAtRandom(wire: readonly number[], count: number, random: Seeded): number[] {
  const payload = 8 * decoded(wire).length;
  const bits = new Set<number>();
  while (bits.size < count) bits.add(random.whole(0, payload - 1));
  return flipped(wire, bits);
}

/**
 * A burst of 2 to 16 bits, its ends flipped and of those between half, in the order in which the CRC takes them (most significant bit of
 * each byte first).
 */
export function burst(wire: readonly number[], random: Seeded): number[] {
  const bad = decoded(wire);
  const length = random.whole(2, 16);
  const first = random.whole(0, bad.length * 8 - length);
  for (let bit = 0; bit < length; bit++) {
    if (bit !== 0 && bit !== length - 1 && random.chance(0.5)) continue;
    bad[(first + bit) >> 3]! ^= 0x80 >> ((first + bit) & 7);
  }
  return [0xf0, 0x0c, ...pack(bad), 0xf7];
}

/** One of the kinds above. */
export function damaged(wire: readonly number[], random: Seeded): number[] {
  const kind = random.whole(1, 4);
  return kind === 4 ? burst(wire, random) : flippedAtRandom(wire, kind, random);
}

/** The decoded bytes of a frame of ours, CRC and all. */
const decoded = (wire: readonly number[]): number[] => unpack(wire.slice(2, -1));
