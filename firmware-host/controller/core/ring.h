/* What the ring takes and how it is emptied; main loop only. */
#ifndef RING_H
#define RING_H

#include <stdint.h>

struct refusal_note {
  uint8_t reason; /* enum refusal */
  uint8_t detail;
};

/* Takes `count` segments, all or none (SPEC 1 and 2). */
struct refusal_note ring_take(const uint8_t *segments, uint8_t count);

/* Segments that still fit. */
uint8_t ring_free(void);

/* Drops everything not walked; numbers start at 0. Only while the walk is at rest. */
void ring_flush(void);

#endif
