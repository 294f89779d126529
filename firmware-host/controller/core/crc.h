#ifndef CRC_H
#define CRC_H

#include <stdint.h>

/* CRC-16/IBM-3740: polynomial 0x1021, start 0xFFFF, not reflected, nothing xored at the end. "123456789" gives 0x29B1. */
uint16_t crc16(const uint8_t *bytes, uint8_t length);

#endif
