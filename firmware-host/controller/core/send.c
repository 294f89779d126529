#include "send.h"

#include <stdbool.h>

#include "accessory.h"
#include "core.h"
#include "crc.h"
#include "firmata.h"
#include "link.h"
#include "packing.h"
#include "report.h"

#define STATUS_PERIOD_MS 40

void send_want(uint8_t answer) { core.wanted |= answer; }

void send_refused(uint8_t seq, uint8_t type, struct refusal_note note) {
  link_count(COUNT_REFUSED);
  if (core.wanted & WANT_REFUSED) return; /* the first is the one that explains the others */
  core.refused[0] = seq;
  core.refused[1] = type;
  core.refused[2] = note.reason;
  core.refused[3] = note.detail;
  send_want(WANT_REFUSED);
}

void send_millisecond(void) {
  if (core.last_link == 0) return; /* a stock Firmata client is spared; a link that ended is told how it ends */
  if (core.status_left_ms != 0) core.status_left_ms--;
  if (core.status_left_ms == 0) send_want(WANT_STATUS);
}

/* Begins the most urgent answer that waits. */
static void begin(void) {
  uint8_t answer = core.wanted & (uint8_t)-core.wanted;
  core.wanted &= (uint8_t)~answer;
  core.sending = answer;
  core.out_at = 0;
  if (answer < WANT_OPENED) return;
  uint8_t length = report_body(answer, core.out);
  core.out[1] = (uint8_t)core.link;
  core.out[2] = (uint8_t)(core.link >> 8);
  core.out[3] = 0;
  uint16_t crc = crc16(core.out, length);
  core.out[length] = (uint8_t)crc;
  core.out[length + 1] = (uint8_t)(crc >> 8);
  core.out_length = length + 2;
  core.out_read = 0;
  core.out_scale = 1;
  if (answer == WANT_STATUS) core.status_left_ms = STATUS_PERIOD_MS;
}

/* Next wire byte of a frame of ours. */
static uint8_t packed_byte(void) {
  uint8_t at = core.out_at++;
  if (at == 0) return 0xF0;
  if (at == 1) return FRAME_ID;
  uint8_t scale = core.out_scale;
  bool more = core.out_read < core.out_length;
  if (!more && (scale == 1 || core.out_read > core.out_length)) {
    core.sending = 0;
    return 0xF7;
  }
  uint8_t before = core.out_read ? core.out[core.out_read - 1] : 0;
  uint8_t now = more ? core.out[core.out_read] : 0;
  if (scale == 128) {
    core.out_scale = 1; /* the eighth byte holds only what is left of the seventh */
    return pack_byte(before, 0, scale);
  }
  core.out_read++;
  core.out_scale = (uint8_t)(scale << 1);
  return pack_byte(before, now, scale);
}

void send_bytes(void) {
  uint8_t room = port_tx_room();
  while (room--) {
    if (core.sending == 0 && core.brief_left == 0) {
      if (core.wanted != 0) begin();
      else if (accessory_tell()) core.brief_left = sizeof core.brief;
      else return;
    }
    if (core.brief_left != 0) {
      port_tx(core.brief[sizeof core.brief - core.brief_left--]);
    } else if (core.sending >= WANT_OPENED) {
      port_tx(packed_byte());
    } else {
      bool last;
      port_tx(firmata_byte(core.sending, core.out_at++, &last));
      if (last) core.sending = 0;
    }
  }
}
