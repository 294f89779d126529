/* STEP edges for those who want to see each: a buffer that is drained between runs. */
#ifndef EVENTS_H
#define EVENTS_H

#include <stdbool.h>
#include <stdint.h>

#define EVENTS_MAX 32768

struct event {
  uint32_t tick;
  uint8_t step;
  uint8_t direction;
  uint16_t unused;
};

struct events {
  bool on;
  uint32_t count;
  struct event list[EVENTS_MAX];
};

extern struct events events;

void events_add(uint8_t step, uint8_t direction);

#endif
