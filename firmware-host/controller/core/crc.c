#include "crc.h"

uint16_t crc16(const uint8_t *bytes, uint8_t length) {
  uint16_t crc = 0xFFFF;
  while (length--) {
    /* One byte at once: the polynomial has few terms, so eight shifts fold into four exclusive-ors. */
    uint8_t high = (uint8_t)(crc >> 8) ^ *bytes++;
    high ^= high >> 4;
    crc = (uint16_t)((uint16_t)(crc << 8) | high);
    crc ^= (uint16_t)((uint16_t)high << 12);
    crc ^= (uint16_t)((uint16_t)high << 5);
  }
  return crc;
}
