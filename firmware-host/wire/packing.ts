/**
 * Eight-bit bytes through a seven-bit sysex: one bit stream, least significant bit first, seven bits to a wire byte, the last
 * wire byte filled up with zeros (SPEC section 4). Seven bytes take eight on the wire.
 */

/** Wire bytes that carry `decoded` bytes. */
export function packedLength(decoded: number): number {
  return Math.ceil((decoded * 8) / 7);
}

/** Writes the packed form of bytes[0..length) into `wire` from `at`; returns the place after it. */
export function pack(bytes: Uint8Array, length: number, wire: Uint8Array, at: number): number {
  let held = 0;
  let bits = 0;
  for (let i = 0; i < length; i++) {
    held |= bytes[i]! << bits;
    bits += 8;
    while (bits >= 7) {
      wire[at++] = held & 0x7f;
      held >>= 7;
      bits -= 7;
    }
  }
  if (bits > 0) wire[at++] = held;
  return at;
}

/**
 * Undoes `pack` for wire[0..length). Returns the number of bytes written to `bytes`, or -1 where no whole number of bytes can
 * have made this wire form: a wire byte too many, or rest bits that are not zero.
 */
export function unpack(wire: Uint8Array, length: number, bytes: Uint8Array): number {
  if (length % 8 === 1) return -1;
  let held = 0;
  let bits = 0;
  let count = 0;
  for (let i = 0; i < length; i++) {
    held |= wire[i]! << bits;
    bits += 7;
    if (bits >= 8) {
      bytes[count++] = held & 0xff;
      held >>= 8;
      bits -= 8;
    }
  }
  return held === 0 ? count : -1;
}
