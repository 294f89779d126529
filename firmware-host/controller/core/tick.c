/*
 * The 40 kHz interrupt. One path tick of the DDA, whose STEP edges rise at the start of the next tick and fall at the one after:
 * as no axis steps on two path ticks in a row (SPEC 1), one store to the STEP port does both, and high and low each last a
 * tick (25 us) at least. DIR changes at the fetch, which comes after the fall of the last step (README.md).
 */
#include "core.h"
#include "easing.h"
#include "inputs.h"
#include "stops.h"

static inline void fetch(void) {
  const uint8_t *segment = core.ring[core.tail % RING_SIZE];
  uint8_t ticks = segment[0];
  /* The remainder starts at floor(ticks/2); kept less ticks, modulo 256. */
  uint8_t start = (uint8_t)((ticks >> 1) - ticks);
  core.ticks = ticks;
  core.at.ticks_left = ticks;
  core.flags = segment[1];
  port_direction(segment[2]);
#define FETCH_AXIS(a)                \
  core.steps[a] = segment[3 + (a)]; \
  core.remainder[a] = start;
  FOR_EACH_AXIS(FETCH_AXIS)
  core.tail++;
  core.at.begun++;
}

/* Steps of one path tick as a STEP mask. */
static inline uint8_t dda(void) {
  uint8_t mask = 0;
  uint8_t ticks = core.ticks;
#define STEP_AXIS(a)                                     \
  {                                                      \
    uint8_t steps = core.steps[a];                       \
    uint8_t sum = (uint8_t)(core.remainder[a] + steps);  \
    if (sum < steps) {                                   \
      sum -= ticks;                                      \
      mask |= PORT_STEP_BIT(a);                          \
    }                                                    \
    core.remainder[a] = sum;                             \
  }
  FOR_EACH_AXIS(STEP_AXIS)
  return mask;
}

static inline void planned_rest(void) {
  core.rests_reached++;
  core.at_planned_rest = true;
  core.level = 0;
  core.rate = 0;
  core.target = 0;
  core.news = true;
}

static inline uint8_t path_tick(void) {
  if (core.at.ticks_left == 0) return 0; /* the easing law keeps this from happening; a step too many must not */
  if (core.seeking) seek_watch();
  if (core.low & core.limit_mask) {
    stop_trip(STOP_LIMIT);
    return 0;
  }
  uint8_t mask = dda();
  core.ticks_walked++;
  if (--core.at.ticks_left == 0 && (core.flags & FLAG_REST)) planned_rest();
  return mask;
}

void core_tick(void) {
  uint8_t low = port_inputs_low();
  uint8_t trip = low & core.trip_mask;
  if (trip) stop_trip(trip & LOW_HALT ? STOP_HALT : STOP_FAULT);
  port_step(core.pending);
  inputs_sample(low, port_inputs_high());
  core.clock++;

  uint8_t mask = 0;
  bool fetched = false;
  uint16_t phase = core.phase + core.rate;
  if (phase >= RATE_FULL) {
    phase -= RATE_FULL;
    mask = path_tick();
  }
  core.phase = phase;
  core.pending = mask;

  if (core.at.ticks_left == 0 && core.tail != core.head) {
    fetch();
    fetched = true;
  }
  if (core.update_left != 0) core.update_left--;
  /* Fetch and ramp update in one tick would not leave the main loop enough; the law allows the wait. */
  if (core.update_left == 0 && !fetched) {
    core.update_left = core.interval;
    easing_update();
  }
}
