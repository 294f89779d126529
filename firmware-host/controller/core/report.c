#include "report.h"

#include "core.h"
#include "send.h"

static uint8_t *put16(uint8_t *at, uint16_t value) {
  at[0] = (uint8_t)value;
  at[1] = (uint8_t)(value >> 8);
  return at + 2;
}

static uint8_t *put32(uint8_t *at, uint32_t value) { return put16(put16(at, (uint16_t)value), (uint16_t)(value >> 16)); }

static uint8_t *put_bytes(uint8_t *at, const uint8_t *from, uint8_t count) {
  while (count--) *at++ = *from++;
  return at;
}

static uint8_t *put_place(uint8_t *at, const struct place *place) {
  at = put16(at, place->begun);
  *at = place->ticks_left;
  return at + 1;
}

static uint8_t *opened(uint8_t *at) {
  *at++ = PROTOCOL;
  at = put16(at, core.boot_id);
  *at++ = core.boot_cause;
  *at++ = PORT_BOARD;
  *at++ = PORT_AXES;
  *at++ = RING_SIZE;
  *at++ = LEVEL_FULL;
  at = put16(at, TICKS_PER_MS * 1000u / 10u);
  at = put32(at, IMAGE_HASH);
  at = put16(at, core.opened_link);
  return put_place(at, &core.opened);
}

static uint8_t *status(uint8_t *at) {
  uint8_t state = core.silent ? 0x04 : 0;
  if (core.link != 0) state |= 0x02;

  /* Two short locks rather than one long: each holds the tick up by less than its own length. */
  port_lock();
  uint8_t tail = core.tail;
  struct place walked = core.at;
  uint8_t level = core.level;
  uint8_t target = core.target;
  uint8_t rests = core.rests_reached;
  uint8_t stop = core.stop;
  struct place stop_place = core.stop_place;
  bool rest = core.at_planned_rest;
  bool drives = core.drives;
  bool lost = core.position_lost;
  port_unlock();
  port_lock();
  uint8_t low = core.low;
  uint8_t high = core.high;
  uint16_t index_count = core.index_count;
  struct place index_place = core.index_place;
  bool seeking = core.seeking;
  bool latched = core.seek_latched;
  struct place seek_place = core.seek_place;
  uint16_t underruns = core.underruns;
  port_unlock();

  if (drives) state |= core.enable_left_ms == 0 ? 0x81 : 0x01;
  if (seeking) state |= 0x08;
  if (latched) state |= 0x10;
  if (rest) state |= 0x20;
  if (lost) state |= 0x40;

  *at++ = core.seq;
  *at++ = RING_SIZE - (uint8_t)(core.head - tail);
  at = put16(at, core.accepted);
  at = put_place(at, &walked);
  *at++ = level;
  *at++ = target;
  *at++ = state;
  *at++ = stop;
  *at++ = core.lift;
  *at++ = low;
  *at++ = high;
  at = put32(at, core.clock_long);
  at = put32(at, core.droop_ticks);
  at = put16(at, underruns);
  at = put16(at, index_count);
  at = put_place(at, &index_place);
  at = put_place(at, &seek_place);
  at = put_place(at, &stop_place);
  at = put_bytes(at, core.counters, sizeof core.counters);
  at = put16(at, core.boot_id);
  *at++ = rests;
  return at;
}

uint8_t report_body(uint8_t answer, uint8_t *out) {
  uint8_t *at = out + 4;
  switch (answer) {
    case WANT_OPENED:
      out[0] = FRAME_OPENED;
      at = opened(at);
      break;
    case WANT_REFUSED:
      out[0] = FRAME_REFUSED;
      at = put_bytes(at, core.refused, sizeof core.refused);
      break;
    case WANT_FLUSHED:
      out[0] = FRAME_FLUSHED;
      at = put_place(at, &core.flushed);
      break;
    default:
      out[0] = FRAME_STATUS;
      at = status(at);
      break;
  }
  return (uint8_t)(at - out);
}
