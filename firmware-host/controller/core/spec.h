/* Codes and sizes of SPEC.md; the sections are named at the right. */
#ifndef SPEC_H
#define SPEC_H

#define RING_SIZE 128 /* 2 */
#define SEGMENT_BYTES 8 /* 1 */
#define SEGMENT_MIN_TICKS 20
#define FLAG_REST 0x01
#define WIRE_AXES 5

#define LEVEL_FULL 64 /* 3 */
#define LEVEL_SLOWEST 4
#define LEVEL_RESTART 8
#define RATE_FULL 0x8000u
#define TICKS_PER_MS 40

#define FRAME_ID 0x0C /* 4 */
#define FRAME_IN_MAX 62
#define PROTOCOL 1

enum frame_type {
  FRAME_OPEN = 0x01,
  FRAME_HEARTBEAT = 0x02,
  FRAME_EASE = 0x03,
  FRAME_SEGMENTS = 0x10,
  FRAME_PACE = 0x11,
  FRAME_DRIVES = 0x12,
  FRAME_LIFT = 0x13,
  FRAME_SEEK = 0x14,
  FRAME_FLUSH = 0x15,
  FRAME_CLEAR = 0x16,
  FRAME_OPENED = 0x41,
  FRAME_STATUS = 0x42,
  FRAME_REFUSED = 0x43,
  FRAME_FLUSHED = 0x44
};

enum refusal {
  REFUSED_NOT = 0,
  REFUSED_VALUE = 1,
  REFUSED_MOTION = 2,
  REFUSED_STOP = 3,
  REFUSED_DRIVES = 4,
  REFUSED_FULL = 5,
  REFUSED_SEGMENT = 6,
  REFUSED_GAP = 7,
  REFUSED_CAUSE = 8,
  REFUSED_SILENT = 9,
  REFUSED_SEEK = 10,
  REFUSED_STALE = 11
};

enum segment_rule {
  RULE_TICKS = 1,
  RULE_FLAGS = 2,
  RULE_DIRECTIONS = 3,
  RULE_STEPS = 4,
  RULE_AXIS = 5,
  RULE_SIGN = 6,
  RULE_REST = 7
};

enum stop_cause { /* 5 */
  STOP_NONE = 0,
  STOP_HALT = 1,
  STOP_FAULT = 2,
  STOP_GUARD = 3,
  STOP_LIMIT = 4,
  STOP_LIFT = 5,
  STOP_RESET = 6,
  STOP_SEGMENT = 7,
  STOP_LINK = 8
};

enum lift_state { LIFT_UNKNOWN = 0, LIFT_UP = 1, LIFT_RISING = 2, LIFT_DOWN = 3, LIFT_FALLING = 4 };

#define LOW_HALT 0x01 /* 6, first byte */
#define LOW_GUARD 0x02
#define LOW_FAULT 0x04
#define LOW_INDEX 0x08
#define LOW_LIMITS 0xF0
#define HIGH_LIFT_UP 0x02 /* 6, second byte */
#define HIGH_LIFT_DOWN 0x04

#endif
