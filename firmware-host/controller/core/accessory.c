#include "accessory.h"

#include "core.h"

#define DIGITAL_MESSAGE 0x90
#define REPORT_ANALOG 0xC0
#define REPORT_DIGITAL 0xD0
#define ANALOG_MESSAGE 0xE0
#define PIN_MODE 0xF4
#define PIN_VALUE 0xF5

#define MODE_INPUT 0x00
#define MODE_OUTPUT 0x01
#define MODE_ANALOG 0x02
#define MODE_PULLUP 0x0B
#define NO_MODES 0x7F
#define NOT_ANALOG 0x7F

#define INTERVAL_LEAST_MS 10

/* What a digital accessory pin and an analog one can do: pairs of mode and bits, closed by 0x7F. */
#define DIGITAL_BYTES 7
#define ANALOG_BYTES 3

static bool is_set(uint8_t mask, uint8_t i) { return mask >> i & 1; }

static void put(uint8_t *mask, uint8_t i, bool on) {
  if (on) *mask |= (uint8_t)(1u << i);
  else *mask &= (uint8_t)~(1u << i);
}

static void set_mode(uint8_t i, uint8_t mode) {
  if (mode == MODE_OUTPUT) {
    put(&core.accessory_outputs, i, true);
    put(&core.accessory_levels, i, false);
    port_accessory(i, ACCESSORY_LOW);
  } else if (mode == MODE_INPUT || mode == MODE_PULLUP) {
    put(&core.accessory_outputs, i, false);
    port_accessory(i, mode == MODE_PULLUP ? ACCESSORY_PULLUP : ACCESSORY_INPUT);
  }
}

static void write(uint8_t i, bool high) {
  if (!is_set(core.accessory_outputs, i)) return;
  put(&core.accessory_levels, i, high);
  port_accessory(i, high ? ACCESSORY_HIGH : ACCESSORY_LOW);
}

static uint8_t firmata_port(uint8_t i) { return (uint8_t)(PORT_ACCESSORY_FIRST + i) >> 3; }
static uint8_t firmata_bit(uint8_t i) { return (PORT_ACCESSORY_FIRST + i) & 7; }

uint8_t accessory_data_bytes(uint8_t status) {
  if (status == PIN_MODE || status == PIN_VALUE) return 2;
  uint8_t kind = status & 0xF0;
  if (kind == DIGITAL_MESSAGE) return 2;
  return kind == REPORT_ANALOG || kind == REPORT_DIGITAL ? 1 : 0;
}

void accessory_message(uint8_t status, uint8_t first, uint8_t second) {
  if (status >= PIN_MODE) {
    uint8_t i = first - PORT_ACCESSORY_FIRST;
    if (i >= PORT_ACCESSORIES) return;
    if (status == PIN_MODE) set_mode(i, second);
    else write(i, second != 0);
    return;
  }
  uint8_t place = status & 0x0F;
  uint8_t kind = status & 0xF0;
  if (kind == REPORT_ANALOG) {
    if (place < PORT_ANALOGS) put(&core.analog_reporting, place, first != 0);
    return;
  }
  uint8_t levels = first | (uint8_t)(second << 7);
  for (uint8_t i = 0; i < PORT_ACCESSORIES; i++) {
    if (firmata_port(i) != place) continue;
    if (kind == DIGITAL_MESSAGE) {
      write(i, levels >> firmata_bit(i) & 1);
    } else {
      put(&core.accessory_reporting, i, first != 0);
      put(&core.accessory_untold, i, first != 0);
    }
  }
}

void accessory_interval(uint16_t ms) { core.analog_interval_ms = ms < INTERVAL_LEAST_MS ? INTERVAL_LEAST_MS : ms; }

void accessory_release(void) {
  for (uint8_t i = 0; i < PORT_ACCESSORIES; i++) {
    if (is_set(core.accessory_outputs, i)) set_mode(i, MODE_INPUT);
  }
}

static void sample_contacts(void) {
  for (uint8_t i = 0; i < PORT_ACCESSORIES; i++) {
    if (!is_set(core.accessory_reporting, i) || is_set(core.accessory_outputs, i)) continue;
    bool high = port_accessory_read(i);
    if (high == is_set(core.accessory_levels, i)) continue;
    put(&core.accessory_levels, i, high);
    put(&core.accessory_untold, i, true);
  }
}

/* One conversion at a time, each reported channel once an interval. */
static void sample_analog(void) {
  if (core.analog_busy) {
    uint16_t value;
    if (!port_analog_done(&value)) return;
    core.analog_busy = false;
    core.analog_value = value;
    core.analog_untold = core.analog_next;
    core.analog_next++;
  }
  if (core.analog_untold != NOTHING_UNTOLD) return; /* told first: it holds one value */
  while (core.analog_next < PORT_ANALOGS && !is_set(core.analog_reporting, core.analog_next)) core.analog_next++;
  if (core.analog_next < PORT_ANALOGS) {
    port_analog_start(core.analog_next);
    core.analog_busy = true;
  }
}

void accessory_millisecond(void) {
  sample_contacts();
  if (core.analog_left_ms != 0) core.analog_left_ms--;
  if (core.analog_left_ms == 0) {
    core.analog_left_ms = core.analog_interval_ms;
    if (!core.analog_busy) core.analog_next = 0;
  }
  sample_analog();
}

static void brief(uint8_t status, uint8_t low, uint8_t high) {
  core.brief[0] = status;
  core.brief[1] = low;
  core.brief[2] = high;
}

/* A Firmata port of eight pins is told at once. */
static void tell_port(uint8_t port) {
  uint8_t levels = 0;
  for (uint8_t i = 0; i < PORT_ACCESSORIES; i++) {
    if (firmata_port(i) != port) continue;
    put(&core.accessory_untold, i, false);
    if (is_set(core.accessory_levels, i) && !is_set(core.accessory_outputs, i)) put(&levels, firmata_bit(i), true);
  }
  brief(DIGITAL_MESSAGE | port, levels & 0x7F, levels >> 7);
}

bool accessory_tell(void) {
  for (uint8_t i = 0; i < PORT_ACCESSORIES; i++) {
    if (!is_set(core.accessory_untold, i)) continue;
    tell_port(firmata_port(i));
    return true;
  }
  if (core.analog_untold == NOTHING_UNTOLD) return false;
  brief(ANALOG_MESSAGE | core.analog_untold, core.analog_value & 0x7F, core.analog_value >> 7 & 0x7F);
  core.analog_untold = NOTHING_UNTOLD;
  return true;
}

static uint8_t digital_capability(uint8_t at) {
  switch (at) {
    case 0:
      return MODE_INPUT;
    case 2:
      return MODE_OUTPUT;
    case 4:
      return MODE_PULLUP;
    case DIGITAL_BYTES - 1:
      return NO_MODES;
    default:
      return 1; /* bit */
  }
}

static uint8_t analog_capability(uint8_t at) { return at == 0 ? MODE_ANALOG : at == 1 ? 10 : NO_MODES; }

uint8_t accessory_capability(uint8_t at, bool *last) {
  *last = false;
  uint8_t pin = 0;
  for (;;) {
    if (pin == PORT_PINS) {
      *last = true;
      return 0;
    }
    bool digital = (uint8_t)(pin - PORT_ACCESSORY_FIRST) < PORT_ACCESSORIES;
    bool analog = accessory_channel(pin) != NOT_ANALOG;
    uint8_t bytes = digital ? DIGITAL_BYTES : analog ? ANALOG_BYTES : 1;
    if (at < bytes) return digital ? digital_capability(at) : analog ? analog_capability(at) : NO_MODES;
    at -= bytes;
    pin++;
  }
}

uint8_t accessory_channel(uint8_t pin) {
  uint8_t channel = pin - PORT_ANALOG_FIRST;
  return channel < PORT_ANALOGS ? channel : NOT_ANALOG;
}
