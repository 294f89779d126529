#include "stops.h"

#include "core.h"

/* Which of two causes is told: what took the drives off at once, then what takes them off at rest, then the rest. */
static uint8_t gravity(uint8_t cause) {
  if (cause == STOP_NONE) return 0;
  if (cause == STOP_HALT || cause == STOP_FAULT || cause == STOP_LIMIT) return 3;
  return cause == STOP_GUARD ? 2 : 1;
}

static void latch(uint8_t cause) {
  if (gravity(cause) <= gravity(core.stop)) return;
  core.stop = cause;
  core.stop_place = core.at;
  core.news = true;
}

void stop_trip(uint8_t cause) {
  port_enable(false);
  core.pending = 0;
  core.level = 0;
  core.rate = 0;
  core.target = 0;
  if (core.drives) core.news = true;
  core.drives = false;
  core.position_lost = true;
  core.trip_mask = 0; /* nothing is left to stop; clear and drives arm it again */
  latch(cause);
}

void stop_ease(uint8_t cause) {
  core.target = 0;
  if (cause == STOP_GUARD) core.drives_off_at_rest = true;
  latch(cause);
}
