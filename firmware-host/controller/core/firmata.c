/*
 * The stream from the host: Firmata's framing, its queries, its messages to accessory pins, and ours inside a user sysex. Messages to
 * all other pins end in accessory.c, which knows none of them.
 */
#include "firmata.h"

#include "accessory.h"
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
#define SAMPLING_INTERVAL 0x7A

enum rx_state { RX_OUTSIDE, RX_ID, RX_OURS, RX_QUERY, RX_INTERVAL, RX_SKIP, RX_SHORT };

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
  } else if (core.rx_state == RX_INTERVAL && core.rx_length == 2) {
    accessory_interval(core.frame[0] | (uint16_t)core.frame[1] << 7);
  }
}

static void begin_sysex(uint8_t id) {
  core.rx_id = id;
  core.rx_length = 0;
  core.rx_scale = 0;
  if (id == FRAME_ID) core.rx_state = RX_OURS;
  else if (id == FIRMWARE || id == QUERY_CAPABILITIES || id == QUERY_ANALOG) core.rx_state = RX_QUERY;
  else core.rx_state = id == SAMPLING_INTERVAL ? RX_INTERVAL : RX_SKIP;
}

/* Data of the two kinds of message that have a fixed length: they lie in frame[] until all of it is there. */
static void fixed(uint8_t byte, uint8_t most) {
  if (core.rx_length == most) {
    core.rx_state = RX_SKIP;
    return;
  }
  core.frame[core.rx_length++] = byte;
  if (core.rx_state != RX_SHORT || core.rx_length != most) return;
  core.rx_state = RX_OUTSIDE;
  accessory_message(core.rx_id, core.frame[0], core.frame[1]);
}

void core_receive(uint8_t byte) {
  if (byte < 0x80) {
    if (core.rx_state == RX_OURS) unpack(byte);
    else if (core.rx_state == RX_ID) begin_sysex(byte);
    else if (core.rx_state == RX_QUERY) core.rx_state = RX_SKIP; /* an answer of that name, not a query */
    else if (core.rx_state == RX_INTERVAL) fixed(byte, 2);
    else if (core.rx_state == RX_SHORT) fixed(byte, accessory_data_bytes(core.rx_id));
    return;
  }
  if (byte == END_SYSEX) end_sysex();
  else if (core.rx_state != RX_OUTSIDE && core.rx_state != RX_SHORT) link_count(COUNT_ABORTED);
  core.rx_state = RX_OUTSIDE;
  core.rx_length = 0;
  if (byte == START_SYSEX) core.rx_state = RX_ID;
  if (accessory_data_bytes(byte) != 0) {
    core.rx_state = RX_SHORT;
    core.rx_id = byte;
  }
  if (byte == SYSTEM_RESET) link_system_reset();
  if (byte == VERSION) send_want(WANT_VERSION);
}

static uint8_t firmware_byte(uint8_t at) {
  if (at == 1) return FIRMWARE;
  if (at < 4) return at == 2 ? 1 : 0; /* version 1.0 */
  return at & 1 ? 0 : (uint8_t)name[(at - 4) >> 1];
}

uint8_t firmata_byte(uint8_t answer, uint8_t at, bool *last) {
  if (answer == WANT_VERSION) {
    *last = at == 2;
    return at == 0 ? VERSION : at == 1 ? 2 : 8;
  }
  *last = false;
  if (at == 0) return START_SYSEX;
  if (answer == WANT_FIRMWARE) {
    *last = at == 4 + 2 * (sizeof name - 1);
    return *last ? END_SYSEX : firmware_byte(at);
  }
  if (at == 1) return answer == WANT_CAPABILITIES ? ANSWER_CAPABILITIES : ANSWER_ANALOG;
  uint8_t byte;
  if (answer == WANT_CAPABILITIES) {
    byte = accessory_capability(at - 2, last);
  } else {
    *last = at == 2 + PORT_PINS;
    byte = accessory_channel(at - 2);
  }
  return *last ? END_SYSEX : byte;
}
