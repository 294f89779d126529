/* Bodies of the frames to the host, SPEC 4; main loop only. */
#ifndef REPORT_H
#define REPORT_H

#include <stdint.h>

/* Writes type and body of an answer (enum wanted) to out[0] and out[4..]; returns the length without the CRC. */
uint8_t report_body(uint8_t answer, uint8_t *out);

#endif
