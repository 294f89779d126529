#include "core.h"

#include "accessory.h"
#include "drives.h"
#include "easing.h"
#include "inputs.h"
#include "lift.h"
#include "link.h"
#include "send.h"
#include "tick.h"

struct core core;

void core_init(void) {
  core.boot_id = port_boot_id();
  core.boot_cause = port_boot_cause();
  core.position_lost = true;
  core.trip_mask = LOW_HALT;
  core.limit_mask = LOW_LIMITS;
  core.lift_up = true;
  core.lift_limit_ms = 3000;
  core.second_left_ms = 1000;
  core.analog_interval_ms = 19;
  core.analog_untold = NOTHING_UNTOLD;
  port_enable(false);
  port_lower(false);
  core.interval = easing_prepare(500);
  core.update_at = core.interval;
  send_want(WANT_VERSION | WANT_FIRMWARE);
}

void core_overrun(uint8_t lost) {
  while (lost--) link_count(COUNT_OVERRUN);
}

/* The second byte of inputs is not urgent, except to a seek, which samples it itself. */
static void sample_high(void) {
  port_lock();
  inputs_accept(port_inputs_high(), &core.high, &core.high_differed);
  port_unlock();
}

/*
 * A tick that may fetch leaves the look at the inputs to the next one: one with a single path tick left. Where the walk stands
 * there it would be left for good.
 */
static void look_at_rest(void) {
  port_lock();
  if (core.level == 0 && core.at.ticks_left == 1) tick_look();
  port_unlock();
}

static void millisecond(void) {
  sample_high();
  look_at_rest();
  link_millisecond();
  drives_millisecond();
  lift_millisecond();
  accessory_millisecond();
  send_millisecond();
}

void core_poll(void) {
  port_lock();
  uint16_t clock = core.clock;
  uint16_t droops = core.droops;
  bool news = core.news;
  core.news = false;
  bool rest = core.level == 0 && core.target == 0 && core.pending == 0;
  bool guard_open = core.drives_off_at_rest;
  port_unlock();

  uint16_t passed = clock - core.clock_seen;
  core.clock_seen = clock;
  core.clock_long += passed;
  core.droop_ticks += (uint32_t)(uint16_t)(droops - core.droops_seen) * core.interval;
  core.droops_seen = droops;
  if (news) send_want(WANT_STATUS);
  if (guard_open && rest) drives_off();

  core.ms_rest += passed;
  while (core.ms_rest >= TICKS_PER_MS) {
    core.ms_rest -= TICKS_PER_MS;
    millisecond();
  }
  send_bytes();
}
