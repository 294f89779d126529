#include "lift.h"

#include "core.h"
#include "send.h"
#include "stops.h"

void lift_ask(bool up) {
  if (core.lift_asked && core.lift_up == up) return;
  core.lift_asked = true;
  core.lift_up = up;
  core.lift_left_ms = core.lift_limit_ms;
  port_lower(!up);
}

bool lift_late(void) {
  bool answered = core.lift == LIFT_UP || core.lift == LIFT_DOWN;
  return core.lift_asked && !answered && core.lift_left_ms == 0;
}

static uint8_t state_now(bool senses_up, bool senses_down) {
  /* Both at once is a broken sensor: neither is believed. */
  if (senses_up && senses_down) senses_up = senses_down = false;
  if (!core.lift_asked) return senses_up ? LIFT_UP : senses_down ? LIFT_DOWN : LIFT_UNKNOWN;
  if (core.lift_up) return senses_up ? LIFT_UP : LIFT_RISING;
  return senses_down ? LIFT_DOWN : LIFT_FALLING;
}

void lift_millisecond(void) {
  port_lock();
  uint8_t high = core.high;
  bool rest = core.level == 0 && core.target == 0;
  bool stopped = core.stop != STOP_NONE;
  port_unlock();

  if (rest && (stopped || core.silent)) lift_ask(true);

  uint8_t state = state_now(high & HIGH_LIFT_UP, high & HIGH_LIFT_DOWN);
  if (state != core.lift) {
    core.lift = state;
    send_want(WANT_STATUS);
  }
  if (state == LIFT_UP || state == LIFT_DOWN) {
    core.lift_left_ms = core.lift_limit_ms;
  } else if (core.lift_asked && core.lift_left_ms != 0 && --core.lift_left_ms == 0) {
    port_lock();
    stop_ease(STOP_LIFT);
    port_unlock();
  }
}
