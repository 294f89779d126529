/* The part of Firmata 2.8 that a stock client needs to become ready (SPEC 7). */
#ifndef FIRMATA_H
#define FIRMATA_H

#include <stdint.h>

/* Byte `at` of an answer (WANT_VERSION..WANT_ANALOG) and the place of its last one. */
uint8_t firmata_byte(uint8_t answer, uint8_t at);
uint8_t firmata_last(uint8_t answer);

#endif
