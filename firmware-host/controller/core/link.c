#include "link.h"

#include "accessory.h"
#include "commands.h"
#include "core.h"
#include "crc.h"
#include "send.h"
#include "stops.h"

#define ERRORS_PER_SECOND 20
#define REPEAT_WINDOW 64

static void end_link(uint8_t cause) {
  port_lock();
  stop_ease(cause);
  port_unlock();
  core.link = 0;
  core.silent = false;
  accessory_release();
  send_want(WANT_STATUS);
}

void link_count(uint8_t counter) {
  if (core.counters[counter] != 0xFF) core.counters[counter]++;
  bool error = counter == COUNT_CRC || counter == COUNT_LENGTH || counter == COUNT_LINK || counter == COUNT_ABORTED ||
               counter == COUNT_OVERRUN;
  if (!error || core.link == 0) return;
  if (++core.errors > ERRORS_PER_SECOND) end_link(STOP_LINK);
}

void link_system_reset(void) { end_link(STOP_RESET); }

void link_millisecond(void) {
  if (core.second_left_ms == 0) {
    core.second_left_ms = 1000;
    core.errors = 0;
  }
  core.second_left_ms--;
  if (core.link == 0 || core.silent) return;
  if (core.silent_left_ms != 0) {
    core.silent_left_ms--;
    return;
  }
  core.silent = true;
  accessory_release();
  port_lock();
  core.target = 0;
  port_unlock();
  send_want(WANT_STATUS);
}

static void heartbeat(uint16_t beat) {
  if (beat == core.beat) return;
  core.beat = beat;
  core.silent_left_ms = core.silent_limit_ms;
  if (core.silent) send_want(WANT_STATUS);
  core.silent = false;
}

static void ease(uint8_t eases) {
  core.eases = eases;
  port_lock();
  core.target = 0;
  port_unlock();
  send_want(WANT_STATUS);
}

static void sequenced(uint8_t type, const uint8_t *body, uint8_t length, uint8_t seq) {
  if (!command_fits(type, length)) {
    link_count(command_known(type) ? COUNT_LENGTH : COUNT_TYPE);
    return;
  }
  send_want(WANT_STATUS); /* the acknowledgement, also of what was taken before */
  if (seq != core.seq) {
    if ((uint8_t)(core.seq - seq) > REPEAT_WINDOW) link_count(COUNT_SEQUENCE);
    return;
  }
  core.seq++;
  struct refusal_note note = command_run(type, body, length);
  if (note.reason != REFUSED_NOT) send_refused(seq, type, note);
}

void link_frame(uint8_t length) {
  const uint8_t *frame = core.frame;
  if (length < 6) {
    link_count(COUNT_LENGTH);
    return;
  }
  uint8_t body_end = length - 2;
  uint16_t crc = (uint16_t)(frame[body_end] | (uint16_t)frame[body_end + 1] << 8);
  if (crc16(frame, body_end) != crc) {
    link_count(COUNT_CRC);
    return;
  }
  uint8_t type = frame[0];
  uint16_t link = (uint16_t)(frame[1] | (uint16_t)frame[2] << 8);
  uint8_t seq = frame[3];
  const uint8_t *body = frame + 4;
  uint8_t body_length = body_end - 4;
  if (type == FRAME_OPEN) {
    if (body_length != 10) {
      link_count(COUNT_LENGTH);
      return;
    }
    struct refusal_note note = command_open(body);
    if (note.reason != REFUSED_NOT) send_refused(seq, type, note);
    return;
  }
  if (core.link == 0 || link != core.link) {
    link_count(COUNT_LINK);
  } else if (type == FRAME_HEARTBEAT) {
    if (body_length == 2) heartbeat((uint16_t)(body[0] | (uint16_t)body[1] << 8));
    else link_count(COUNT_LENGTH);
  } else if (type == FRAME_EASE) {
    if (body_length == 1) ease(body[0]);
    else link_count(COUNT_LENGTH);
  } else {
    sequenced(type, body, body_length, seq);
  }
}
