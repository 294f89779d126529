/* The part of Firmata 2.8 that a stock client needs to become ready (SPEC 7). */
#ifndef FIRMATA_H
#define FIRMATA_H

#include <stdbool.h>
#include <stdint.h>

/* Byte `at` of an answer (WANT_VERSION..WANT_ANALOG), and whether it is the last. */
uint8_t firmata_byte(uint8_t answer, uint8_t at, bool *last);

#endif
