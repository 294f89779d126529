/* Bytes to the host, made one at a time as the line takes them, so that a long answer never holds up the receiver. */
#ifndef SEND_H
#define SEND_H

#include <stdint.h>

#include "ring.h"

/* Answers that may wait at once, the most urgent in the lowest bit. */
enum wanted {
  WANT_VERSION = 0x01,
  WANT_FIRMWARE = 0x02,
  WANT_CAPABILITIES = 0x04,
  WANT_ANALOG = 0x08,
  WANT_OPENED = 0x10,
  WANT_REFUSED = 0x20,
  WANT_FLUSHED = 0x40,
  WANT_STATUS = 0x80
};

void send_want(uint8_t answer);
void send_refused(uint8_t seq, uint8_t type, struct refusal_note note);

/* Hands the port as many bytes as it has room for. */
void send_bytes(void);

/* Once a millisecond: the status that comes unasked. */
void send_millisecond(void);

#endif
