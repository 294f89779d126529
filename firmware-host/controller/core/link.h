/* Frames of the host, SPEC 4; main loop only. */
#ifndef LINK_H
#define LINK_H

#include <stdbool.h>
#include <stdint.h>

/* Places of counters[], in the order of the status. */
enum counter {
  COUNT_CRC,
  COUNT_LENGTH,
  COUNT_TYPE,
  COUNT_LINK,
  COUNT_SEQUENCE,
  COUNT_ABORTED,
  COUNT_OVERRUN,
  COUNT_REFUSED
};

void link_count(uint8_t counter);

/* A whole sysex of ours has arrived, unpacked, in core.frame. */
void link_frame(uint8_t length);

/* 0xFF: eases, latches stop 6, ends the link. */
void link_system_reset(void);

/* Once a millisecond: silence of the host, errors in a second. */
void link_millisecond(void);

#endif
