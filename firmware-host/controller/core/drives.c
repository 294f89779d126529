#include "drives.h"

#include "core.h"
#include "send.h"

bool drives_on(void) {
  port_lock();
  bool was_on = core.drives;
  bool may = core.stop == STOP_NONE;
  if (may) {
    core.drives = true;
    core.trip_mask = LOW_HALT | LOW_FAULT;
    port_enable(true);
  }
  port_unlock();
  if (may && !was_on) {
    core.enable_left_ms = core.enable_delay_ms;
    send_want(WANT_STATUS);
  }
  return may;
}

void drives_off(void) {
  port_lock();
  port_enable(false);
  core.drives = false;
  core.drives_off_at_rest = false;
  core.trip_mask = LOW_HALT;
  core.position_lost = true;
  port_unlock();
  send_want(WANT_STATUS);
}

void drives_millisecond(void) {
  if (core.enable_left_ms == 0) return;
  if (--core.enable_left_ms == 0) send_want(WANT_STATUS);
}
