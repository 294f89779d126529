#include "ring.h"

#include <stddef.h>

#include "core.h"

static uint8_t *slot(uint8_t number) { return core.ring[number % RING_SIZE]; }

/* The first rule of SPEC 1 that the segment breaks, 0 if none. `last` is the segment before it or NULL. */
static uint8_t broken_rule(const uint8_t *segment, const uint8_t *last) {
  uint8_t ticks = segment[0];
  uint8_t flags = segment[1];
  if (ticks < SEGMENT_MIN_TICKS) return RULE_TICKS;
  if (flags & (uint8_t)~FLAG_REST) return RULE_FLAGS;
  if (segment[2] >> WIRE_AXES) return RULE_DIRECTIONS;
  uint8_t changed = last ? segment[2] ^ last[2] : 0;
  uint8_t half = ticks >> 1;
  uint8_t quarter = ticks >> 2;
  uint8_t sixteenth = ticks >> 4;
  uint8_t last_quarter = last ? last[0] >> 2 : 0;
  for (uint8_t axis = 0; axis < WIRE_AXES; axis++) {
    uint8_t steps = segment[3 + axis];
    if (steps > half) return RULE_STEPS;
    if (axis >= PORT_AXES && steps != 0) return RULE_AXIS;
    if ((changed & 1) && (steps > quarter || last[3 + axis] > last_quarter)) return RULE_SIGN;
    if ((flags & FLAG_REST) && steps > sixteenth) return RULE_REST;
    changed >>= 1;
  }
  return 0;
}

uint8_t ring_free(void) {
  port_lock();
  uint8_t tail = core.tail;
  port_unlock();
  return RING_SIZE - (uint8_t)(core.head - tail);
}

struct refusal_note ring_take(const uint8_t *segments, uint8_t count) {
  struct refusal_note note = {REFUSED_NOT, 0};
  if (core.gap) {
    note.reason = REFUSED_GAP;
    return note;
  }
  if (count > ring_free()) {
    note.reason = REFUSED_FULL;
    return note;
  }
  uint8_t head = core.head;
  uint16_t ticks = 0;
  uint8_t rests = 0;
  const uint8_t *last = core.has_last ? slot(head - 1) : NULL;
  for (uint8_t i = 0; i < count; i++, segments += SEGMENT_BYTES) {
    uint8_t rule = broken_rule(segments, last);
    if (rule) {
      note.reason = REFUSED_SEGMENT;
      note.detail = (uint8_t)(i | rule << 4);
      return note;
    }
    /* Into free slots, which the tick does not look at before head says so. */
    uint8_t *place = slot(head++);
    for (uint8_t byte = 0; byte < SEGMENT_BYTES; byte++) place[byte] = segments[byte];
    last = place;
    ticks += segments[0];
    rests += segments[1]; /* only the rest flag can be set */
  }
  core.has_last = true;
  core.accepted += count;
  port_lock();
  core.head = head;
  core.ticks_pushed += ticks;
  core.rests_pushed += rests;
  port_unlock();
  return note;
}

void ring_flush(void) {
  port_lock();
  core.tail = core.head;
  core.at.begun = 0;
  core.at.ticks_left = 0;
  core.flags = 0;
  core.ticks_pushed = core.ticks_fetched;
  core.rests_pushed = 0;
  core.rests_reached = 0;
  port_unlock();
  port_lock();
  core.at_planned_rest = false;
  core.seek_latched = false;
  core.seek_place = core.at;
  core.index_place = core.at;
  core.stop_place = core.at;
  port_unlock();
  core.accepted = 0;
  core.has_last = false;
  core.gap = false;
}
