#include "commands.h"

#include "core.h"
#include "drives.h"
#include "easing.h"
#include "lift.h"
#include "send.h"
#include "stops.h"

#define LINK_MAX 16383
#define SILENT_MIN_MS 50
#define LIFT_MIN_MS 100

static struct refusal_note taken(void) { return (struct refusal_note){REFUSED_NOT, 0}; }
static struct refusal_note refuse(uint8_t reason) { return (struct refusal_note){reason, 0}; }

static uint16_t u16(const uint8_t *at) { return (uint16_t)(at[0] | (uint16_t)at[1] << 8); }

/* Level and target 0 and the last step out: nothing moves again without a command. */
static bool at_rest(void) {
  port_lock();
  bool rest = core.level == 0 && core.target == 0 && core.pending == 0;
  port_unlock();
  return rest;
}

static struct place place_now(void) {
  port_lock();
  struct place place = core.at;
  port_unlock();
  return place;
}

static uint8_t latched_stop(void) {
  port_lock();
  uint8_t stop = core.stop;
  port_unlock();
  return stop;
}

static struct refusal_note pace(const uint8_t *body) {
  uint8_t target = body[0];
  if (target > LEVEL_FULL) return refuse(REFUSED_VALUE);
  if (target != 0 && target < LEVEL_SLOWEST) target = LEVEL_SLOWEST;
  if ((int8_t)(body[2] - core.eases) < 0) return refuse(REFUSED_STALE);
  core.eases = body[2];
  if (target != 0 && core.silent) return refuse(REFUSED_SILENT);
  if (target != 0 && core.enable_left_ms != 0) return refuse(REFUSED_DRIVES);
  /* From here in one lock: a rest, a stop or a latch must not slip in between the question and the deed. */
  uint8_t reason = REFUSED_NOT;
  port_lock();
  if (body[1] != core.rests_reached) reason = REFUSED_STALE;
  else if (target != 0 && core.stop != STOP_NONE) reason = REFUSED_STOP;
  else if (target != 0 && !core.drives) reason = REFUSED_DRIVES;
  else if (target != 0 && core.seek_latched) reason = REFUSED_SEEK;
  else {
    core.target = target;
    if (target != 0) core.at_planned_rest = false;
  }
  port_unlock();
  return refuse(reason);
}

static struct refusal_note drives(uint8_t on) {
  if (on > 1) return refuse(REFUSED_VALUE);
  if (!on && !at_rest()) return refuse(REFUSED_MOTION);
  if (!on) {
    drives_off();
    return taken();
  }
  return drives_on() ? taken() : refuse(REFUSED_STOP);
}

static struct refusal_note lift(uint8_t up) {
  if (up > 1) return refuse(REFUSED_VALUE);
  if (!up && !at_rest()) return refuse(REFUSED_MOTION);
  if (!up && latched_stop() != STOP_NONE) return refuse(REFUSED_STOP);
  lift_ask(up);
  return taken();
}

static struct refusal_note seek(const uint8_t *body) {
  uint8_t on = body[4];
  if (on > 1) return refuse(REFUSED_VALUE);
  port_lock();
  core.seeking = on;
  core.seek_latched = false;
  core.seek_mask_low = body[0];
  core.seek_mask_high = body[1];
  core.seek_flip_low = (uint8_t)~body[2];
  core.seek_flip_high = (uint8_t)~body[3];
  core.limit_mask = on ? LOW_LIMITS & (uint8_t)~body[0] : LOW_LIMITS;
  core_watch_again();
  port_unlock();
  return taken();
}

static struct refusal_note flush(void) {
  if (!at_rest()) return refuse(REFUSED_MOTION);
  core.flushed = place_now();
  ring_flush();
  port_lock();
  if (core.drives) core.position_lost = false;
  port_unlock();
  send_want(WANT_FLUSHED);
  return taken();
}

static struct refusal_note clear(void) {
  if (!at_rest()) return refuse(REFUSED_MOTION);
  struct refusal_note note = {REFUSED_NOT, 0};
  port_lock();
  if (core.low & LOW_HALT) note.detail = STOP_HALT;
  else if (core.low & LOW_GUARD) note.detail = STOP_GUARD;
  else if (core.drives_off_at_rest && core.drives) note.detail = STOP_GUARD;
  else if (lift_late()) note.detail = STOP_LIFT;
  else {
    core.stop = STOP_NONE;
    core.trip_mask = core.drives ? LOW_HALT | LOW_FAULT : LOW_HALT;
  }
  port_unlock();
  if (note.detail) note.reason = REFUSED_CAUSE;
  return note;
}

bool command_known(uint8_t type) { return type >= FRAME_SEGMENTS && type <= FRAME_CLEAR; }

bool command_fits(uint8_t type, uint8_t length) {
  switch (type) {
    case FRAME_SEGMENTS:
      return length != 0 && length % SEGMENT_BYTES == 0; /* 7 at most: a longer frame does not fit the buffer */
    case FRAME_PACE:
      return length == 3;
    case FRAME_DRIVES:
    case FRAME_LIFT:
      return length == 1;
    case FRAME_SEEK:
      return length == 5;
    case FRAME_FLUSH:
    case FRAME_CLEAR:
      return length == 0;
    default:
      return false;
  }
}

struct refusal_note command_run(uint8_t type, const uint8_t *body, uint8_t length) {
  switch (type) {
    case FRAME_SEGMENTS: {
      struct refusal_note note = ring_take(body, length / SEGMENT_BYTES);
      if (note.reason != REFUSED_NOT && !core.gap) {
        core.gap = true;
        port_lock();
        stop_ease(STOP_SEGMENT);
        port_unlock();
      }
      return note;
    }
    case FRAME_PACE:
      return pace(body);
    case FRAME_DRIVES:
      return drives(body[0]);
    case FRAME_LIFT:
      return lift(body[0]);
    case FRAME_SEEK:
      return seek(body);
    case FRAME_FLUSH:
      return flush();
    default:
      return clear();
  }
}

struct refusal_note command_open(const uint8_t *body) {
  uint16_t link = u16(body);
  uint16_t ramp_ms = u16(body + 2);
  uint16_t silent_ms = u16(body + 4);
  uint16_t lift_ms = u16(body + 6);
  if (link == 0 || link > LINK_MAX || ramp_ms < RAMP_MIN_MS || ramp_ms > RAMP_MAX_MS || silent_ms < SILENT_MIN_MS ||
      lift_ms < LIFT_MIN_MS) {
    return refuse(REFUSED_VALUE);
  }
  if (!at_rest()) {
    port_lock();
    core.target = 0;
    port_unlock();
    return refuse(REFUSED_MOTION);
  }
  /* Asked again for the same link before anything was taken: the answer was lost, and what stood before is told again. */
  if (link != core.link || core.seq != 0) {
    core.opened = place_now();
    core.opened_link = core.last_link;
  }
  core.link = link;
  core.last_link = link;
  core.seq = 0;
  core.eases = 0;
  core.errors = 0;
  core.silent = false;
  core.silent_limit_ms = silent_ms;
  core.silent_left_ms = silent_ms;
  core.lift_limit_ms = lift_ms;
  core.enable_delay_ms = u16(body + 8);
  ring_flush();
  uint16_t interval = easing_prepare(ramp_ms);
  port_lock();
  core.interval = interval;
  core.update_at = core.clock + interval;
  port_unlock();
  send_want(WANT_OPENED);
  return taken();
}
