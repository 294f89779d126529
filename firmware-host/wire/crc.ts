/**
 * CRC-16/IBM-3740 (polynomial 0x1021, start 0xFFFF, not reflected, no final exclusive-or; check value 0x29B1 for "123456789").
 * Over a frame's decoded bytes it finds every error of up to three bits and every burst of up to 16 bits: with an even-weight
 * factor in the polynomial all odd errors, and all double errors up to 32,751 bits, far beyond a frame of 640.
 */
const TABLE = new Uint16Array(256);
for (let high = 0; high < 256; high++) {
  let remainder = high << 8;
  for (let bit = 0; bit < 8; bit++)
    remainder = (remainder & 0x8000 ? (remainder << 1) ^ 0x1021 : remainder << 1) & 0xffff;
  TABLE[high] = remainder;
}

/** CRC of bytes[0..length). */
export function crc16(bytes: Uint8Array, length = bytes.length): number {
  let crc = 0xffff;
  for (let i = 0; i < length; i++) crc = ((crc << 8) & 0xffff) ^ TABLE[(crc >> 8) ^ bytes[i]!]!;
  return crc;
}
