/*
 * The stream from the host: Firmata's framing, its queries, and ours inside a user sysex. Commands to pins (0x90, 0xF4, 0xF5 and
 * the like) need no code: their data bytes are below 0x80 and mean nothing outside a sysex.
 */
#include "firmata.h"

#include "core.h"
#include "link.h"
#include "packing.h"
#include "send.h"

#define START_SYSEX 0xF0
#define END_SYSEX 0xF7
#define VERSION 0xF9
#define SYSTEM_RESET 0xFF
#define QUERY_ANALOG 0x69
#define ANSWER_ANALOG 0x6A
#define QUERY_CAPABILITIES 0x6B
#define ANSWER_CAPABILITIES 0x6C
#define FIRMWARE 0x79
#define NO_MODES 0x7F
#define NOT_ANALOG 0x7F

enum rx_state { RX_OUTSIDE, RX_ID, RX_OURS, RX_QUERY, RX_SKIP };

static const char name[] = "Wholeturn";

static void unpack(uint8_t byte) {
  if (core.rx_scale == 0) {
    core.rx_scale = 128;
  } else {
    if (core.rx_length == FRAME_IN_MAX) {
      link_count(COUNT_LENGTH);
      core.rx_state = RX_SKIP;
      return;
    }
    core.frame[core.rx_length++] = unpack_byte(core.rx_before, byte, core.rx_scale);
    core.rx_scale = core.rx_scale == 2 ? 0 : core.rx_scale >> 1;
  }
  core.rx_before = byte;
}

/* Whether the wire bytes were as few as hold the frame, and the bits left over zero. */
static bool padding_is_zero(void) {
  if (core.rx_scale == 0) return true;
  if (core.rx_scale == 128) return false;
  /* n bytes into the group the last used bit is n - 1; rx_scale is 2^(7 - n + 1 - 1), see packing.h */
  return (uint8_t)((uint16_t)core.rx_before * core.rx_scale >> 7) == 0;
}

static void end_sysex(void) {
  if (core.rx_state == RX_OURS) {
    if (padding_is_zero()) link_frame(core.rx_length);
    else link_count(COUNT_LENGTH);
  } else if (core.rx_state == RX_QUERY) {
    send_want(core.rx_id == FIRMWARE ? WANT_FIRMWARE : core.rx_id == QUERY_CAPABILITIES ? WANT_CAPABILITIES : WANT_ANALOG);
  }
}

static void begin_sysex(uint8_t id) {
  core.rx_id = id;
  core.rx_length = 0;
  core.rx_scale = 0;
  if (id == FRAME_ID) core.rx_state = RX_OURS;
  else if (id == FIRMWARE || id == QUERY_CAPABILITIES || id == QUERY_ANALOG) core.rx_state = RX_QUERY;
  else core.rx_state = RX_SKIP;
}

void core_receive(uint8_t byte) {
  if (byte < 0x80) {
    if (core.rx_state == RX_OURS) unpack(byte);
    else if (core.rx_state == RX_ID) begin_sysex(byte);
    else if (core.rx_state == RX_QUERY) core.rx_state = RX_SKIP; /* an answer of that name, not a query */
    return;
  }
  if (byte == END_SYSEX) end_sysex();
  else if (core.rx_state != RX_OUTSIDE) link_count(COUNT_ABORTED);
  core.rx_state = byte == START_SYSEX ? RX_ID : RX_OUTSIDE;
  if (byte == SYSTEM_RESET) link_system_reset();
  if (byte == VERSION) send_want(WANT_VERSION);
}

uint8_t firmata_last(uint8_t answer) {
  switch (answer) {
    case WANT_VERSION:
      return 2;
    case WANT_FIRMWARE:
      return 4 + 2 * (sizeof name - 1);
    default:
      return 2 + PORT_PINS;
  }
}

static uint8_t firmware_byte(uint8_t at) {
  if (at == 1) return FIRMWARE;
  if (at < 4) return at == 2 ? 1 : 0; /* version 1.0 */
  return at & 1 ? 0 : (uint8_t)name[(at - 4) >> 1];
}

uint8_t firmata_byte(uint8_t answer, uint8_t at) {
  if (answer == WANT_VERSION) return at == 0 ? VERSION : at == 1 ? 2 : 8;
  if (at == 0) return START_SYSEX;
  if (at == firmata_last(answer)) return END_SYSEX;
  if (answer == WANT_FIRMWARE) return firmware_byte(at);
  if (answer == WANT_CAPABILITIES) return at == 1 ? ANSWER_CAPABILITIES : NO_MODES;
  return at == 1 ? ANSWER_ANALOG : NOT_ANALOG;
}
