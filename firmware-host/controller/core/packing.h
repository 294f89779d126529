/*
 * Eight-into-seven packing of SPEC 4, a byte at a time and without a shift by a variable amount (the AVR has none): a product
 * with 2^n holds the bits shifted left in its low byte and those shifted out in its high byte.
 *
 *   decoded   |7 6 5 4 3 2 1 0|7 6 5 4 3 2 1 0|...
 *   wire        |6 5 4 3 2 1 0|6 5 4 3 2 1 0|...        least significant bit first
 */
#ifndef PACKING_H
#define PACKING_H

#include <stdint.h>

/* Decoded byte that ends in wire byte `now`, the n-th of its group (n = 1..7); scale = 2^(8 - n). */
static inline uint8_t unpack_byte(uint8_t before, uint8_t now, uint8_t scale) {
  uint16_t low_part = (uint16_t)((uint8_t)(before << 1)) * scale;
  uint16_t high_part = (uint16_t)now * scale;
  return (uint8_t)(low_part >> 8) | (uint8_t)high_part;
}

/* Wire byte n of a group (n = 0..7) that holds the last n bits of `before` and the first 7 - n of `now`; scale = 2^n. */
static inline uint8_t pack_byte(uint8_t before, uint8_t now, uint8_t scale) {
  uint16_t low_part = (uint16_t)before * scale;
  uint16_t high_part = (uint16_t)now * scale;
  return ((uint8_t)(low_part >> 8) | (uint8_t)high_part) & 0x7F;
}

#endif
