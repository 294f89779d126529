/*
 * The 40 kHz interrupt. One path tick of the DDA, whose STEP edges rise at the start of the next tick and fall at the one after:
 * as no axis steps on two path ticks in a row (SPEC 1), one store to the STEP port does both, and high and low each last a
 * tick (25 us) at least. DIR changes at the fetch, which comes after the fall of the last step (README.md).
 *
 * No tick pays for two of its rarer parts: a look at inputs gives way to a fetch or a ramp update, a ramp update to a fetch. The
 * walk itself waits for none of them.
 */
#include "tick.h"

#include "core.h"
#include "easing.h"
#include "inputs.h"
#include "stops.h"

/* Steps of one path tick as a STEP mask. */
static inline uint8_t dda(void) {
  uint8_t mask = 0;
  uint8_t ticks = core.ticks;
#define STEP_AXIS(a)                                    \
  {                                                     \
    uint8_t steps = core.steps[a];                      \
    uint8_t sum = (uint8_t)(core.remainder[a] + steps); \
    if (sum < steps) {                                  \
      sum -= ticks;                                     \
      mask |= PORT_STEP_BIT(a);                         \
    }                                                   \
    core.remainder[a] = sum;                            \
  }
  FOR_EACH_AXIS(STEP_AXIS)
  return mask;
}

void core_tick(void) {
  uint8_t low = port_inputs_low();
  core.sample = low;
  if (low & core.trip_mask) {
    port_enable(false); /* before the call: saving registers takes 2 us */
    port_rare(tick_trip);
  }
  port_step(core.pending);
  core.clock++;

  uint8_t left = core.at.ticks_left;
  /* Watching on every second tick leaves the main loop half of what a look costs. */
  bool look = (low ^ core.low) | core.low_differed | (core.watch & (uint8_t)core.clock);
  if (look && left != 1 && core.clock != core.update_at) port_rare(tick_look);

  uint8_t mask = 0;
  uint16_t phase = core.phase + core.rate;
  if (phase >= RATE_FULL) {
    phase -= RATE_FULL;
    /* With no tick left the easing law has long brought the level to 0; a step too many must not be possible even so. */
    if (left != 0) {
      mask = dda();
      core.at.ticks_left = --left;
    }
  }
  core.phase = phase;
  core.pending = mask;

  if (left == 0 && (core.flags | (uint8_t)(core.head - core.tail))) port_rare_last(tick_segment);
  else if (core.clock == core.update_at) port_rare_last(tick_ramp);
}

void tick_trip(void) { stop_trip(core.sample & core.trip_mask & LOW_HALT ? STOP_HALT : STOP_FAULT); }

static void accept_inputs(void) {
  uint8_t taken = inputs_accept(core.sample, &core.low, &core.low_differed);
  if (taken == 0) return;
  core_watch_again();
  if (taken & core.low & LOW_INDEX) {
    core.index_count++;
    core.index_place = core.at;
  }
  if (taken & core.low & LOW_GUARD) stop_ease(STOP_GUARD);
}

/* While walking: a seek that finds its level, a limit. */
static void watch(void) {
  if (core.seek_mask_high) inputs_accept(port_inputs_high(), &core.high, &core.high_differed);
  uint8_t hit = (core.low ^ core.seek_flip_low) & core.seek_mask_low;
  hit |= (core.high ^ core.seek_flip_high) & core.seek_mask_high;
  if (core.seeking && hit && !core.seek_latched) {
    core.seek_latched = true;
    core.seek_place = core.at;
    core.target = 0;
    core.news = true;
  }
  if (core.low & core.limit_mask) stop_trip(STOP_LIMIT);
}

void tick_look(void) {
  if ((core.sample ^ core.low) | core.low_differed) accept_inputs();
  else if (core.level != 0) watch();
}

static void planned_rest(void) {
  core.rests_reached++;
  core.at_planned_rest = true;
  core.level = 0;
  core.rate = 0;
  core.target = 0;
  core.news = true;
}

static inline void fetch(void) {
  const uint8_t *segment = core.ring[core.tail % RING_SIZE];
  uint8_t ticks = segment[0];
  /* The remainder starts at floor(ticks/2); kept less ticks, modulo 256. */
  uint8_t start = (uint8_t)((ticks >> 1) - ticks);
  core.ticks = ticks;
  core.at.ticks_left = ticks;
  core.ticks_fetched += ticks;
  core.flags = segment[1];
  port_direction(segment[2]);
#define FETCH_AXIS(a)               \
  core.steps[a] = segment[3 + (a)]; \
  core.remainder[a] = start;
  FOR_EACH_AXIS(FETCH_AXIS)
  core.tail++;
  core.at.begun++;
}

void tick_segment(void) {
  if (core.flags & FLAG_REST) planned_rest();
  core.flags = 0;
  if (core.tail != core.head) fetch();
  if (core.update_at == core.clock) core.update_at++; /* the easing law allows the wait */
}

void tick_ramp(void) {
  core.update_at = core.clock + core.interval;
  easing_update();
}
