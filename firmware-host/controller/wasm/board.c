/*
 * Time and bytes of the virtual board. The line is as fast as the real one: 250,000 baud are 5 bytes in 8 ticks, so the main loop
 * gets a turn every 8 ticks, reads at most 5 bytes and finds room for at most 5.
 */
#include "board.h"

#include "core.h"
#include "crc.h"
#include "events.h"
#include "export.h"

#define TICKS_PER_PASS 8
#define BYTES_PER_PASS 5
#define BUFFER 8192 /* a power of two */

struct queue {
  uint32_t head;
  uint32_t tail;
  uint8_t bytes[BUFFER];
};

struct events events;

static struct queue to_core;
static struct queue from_core;
static uint32_t now; /* controller ticks since boot */
static uint32_t pass_left;
static uint16_t boot_id;
static uint8_t boot_cause;
static uint8_t tx_room;

/*
 * Replay of another chip's main loop: the ticks at which it held its interrupts, what room it found on its line, and the ticks at
 * which its inputs changed.
 */
#define REPLAY_MAX 4096
static struct {
  bool on;
  uint32_t locks;
  uint32_t lock;
  uint32_t rooms;
  uint32_t room;
  uint32_t inputs;
  uint32_t input;
  bool strayed; /* the core asked for more, or less, than was recorded */
  uint32_t lock_tick[REPLAY_MAX];
  uint8_t room_found[REPLAY_MAX];
  uint32_t input_tick[REPLAY_MAX];
  uint16_t input_mask[REPLAY_MAX];
} replay;

static void apply_inputs(void) {
  while (replay.input != replay.inputs && replay.input_tick[replay.input] <= now) {
    uint16_t mask = replay.input_mask[replay.input++];
    machine_force(mask, (uint16_t)~mask);
  }
}

static void tick(void) {
  if (replay.on) apply_inputs();
  if (machine.lift_moving || machine.lower != (machine.lift_at == 0)) machine_tick_lift();
  core_tick();
  now++;
}

void events_add(uint8_t step, uint8_t direction) {
  if (events.count == EVENTS_MAX) return;
  events.list[events.count++] = (struct event){now, step, direction, 0};
}

void port_lock(void) {
  if (!replay.on) return;
  if (replay.lock == replay.locks) {
    replay.strayed = true;
    return;
  }
  uint32_t until = replay.lock_tick[replay.lock++];
  while (now != until) tick();
  apply_inputs();
}

uint8_t port_tx_room(void) {
  if (!replay.on) return tx_room;
  if (replay.room == replay.rooms) {
    replay.strayed = true;
    return 0;
  }
  return replay.room_found[replay.room++];
}

void port_tx(uint8_t byte) {
  if (from_core.head - from_core.tail == BUFFER) return; /* nobody drains it: a host that went away */
  from_core.bytes[from_core.head++ % BUFFER] = byte;
}

struct wiring wiring = {70, 8, 42, 3, 59};

/* What hangs on the accessory pins: contacts that a host sets, sensors, and what the core did to each pin. */
static struct {
  uint8_t use[8];
  uint8_t contacts; /* closed to ground = 0 */
  uint16_t values[8];
  uint8_t converting;
} accessories = {.contacts = 0xFF};

void port_accessory(uint8_t number, uint8_t how) { accessories.use[number] = how; }

/* A chip that is relived has nothing on its pins: the emulator reads 0. */
bool port_accessory_read(uint8_t number) { return !replay.on && (accessories.contacts >> number & 1); }
void port_analog_start(uint8_t number) { accessories.converting = number; }
bool port_analog_done(uint16_t *value) {
  if (replay.on) return false; /* the emulator has no converter */
  *value = accessories.values[accessories.converting];
  return true;
}

EXPORT uint32_t accessory_use(uint32_t number) { return number < 8 ? accessories.use[number] : 0; }
EXPORT void accessory_contact(uint32_t number, uint32_t high) {
  if (number >= 8) return;
  if (high) accessories.contacts |= (uint8_t)(1u << number);
  else accessories.contacts &= (uint8_t)~(1u << number);
}
EXPORT void accessory_value(uint32_t number, uint32_t value) {
  if (number < 8) accessories.values[number] = (uint16_t)value;
}
EXPORT void replay_wiring(uint32_t pins, uint32_t count, uint32_t first, uint32_t analogs, uint32_t analog_first) {
  wiring = (struct wiring){(uint8_t)pins, (uint8_t)count, (uint8_t)first, (uint8_t)analogs, (uint8_t)analog_first};
}

uint16_t port_boot_id(void) { return boot_id; }
uint8_t port_boot_cause(void) { return boot_cause; }

/* Once, on a fresh instance (its memory is what a boot clears), after the mechanism was set up. */
EXPORT void board_boot(uint32_t id, uint32_t cause) {
  boot_id = (uint16_t)id;
  boot_cause = (uint8_t)cause;
  core_init();
}

static void main_pass(void) {
  for (uint32_t i = 0; i < BYTES_PER_PASS && to_core.tail != to_core.head; i++) {
    core_receive(to_core.bytes[to_core.tail++ % BUFFER]);
  }
  uint32_t space = BUFFER - (from_core.head - from_core.tail);
  tx_room = space < BYTES_PER_PASS ? (uint8_t)space : BYTES_PER_PASS;
  core_poll();
}

/* Runs so many ticks; fewer when the event buffer is full. Returns the ticks run. */
EXPORT uint32_t board_run(uint32_t ticks) {
  uint32_t left = ticks;
  while (left != 0) {
    if (events.count == EVENTS_MAX) break;
    if (pass_left == 0) {
      pass_left = TICKS_PER_PASS;
      main_pass();
    }
    uint32_t some = left < pass_left ? left : pass_left;
    pass_left -= some;
    left -= some;
    while (some--) tick();
  }
  return ticks - left;
}

EXPORT uint32_t board_now(void) { return now; }

/* Bytes to the core: false when the buffer is full. */
EXPORT uint32_t board_write(uint32_t byte) {
  if (to_core.head - to_core.tail == BUFFER) return 0;
  to_core.bytes[to_core.head++ % BUFFER] = (uint8_t)byte;
  return 1;
}

/* Bytes from the core: the next, or -1. */
EXPORT int32_t board_read(void) {
  if (from_core.tail == from_core.head) return -1;
  return from_core.bytes[from_core.tail++ % BUFFER];
}

EXPORT uint32_t board_unread(void) { return to_core.head - to_core.tail; }

/* Bytes that a line lost on the way in. */
EXPORT void board_overrun(uint32_t lost) { core_overrun((uint8_t)lost); }

EXPORT void events_record(uint32_t on) {
  events.on = on;
  events.count = 0;
}
EXPORT uint32_t events_count(void) { return events.count; }
EXPORT const struct event *events_list(void) { return events.list; }

/* ---- for tests that look inside ---- */

EXPORT uint32_t core_level(void) { return core.level; }
EXPORT uint32_t core_target(void) { return core.target; }
/* R of SPEC 3. */
EXPORT uint32_t core_path_ticks(void) { return (uint16_t)(core.ticks_pushed - core.ticks_fetched + core.at.ticks_left); }
/* D(level) of SPEC 3. */
EXPORT uint32_t core_reach(uint32_t level) { return level <= LEVEL_FULL ? core.reach[level] : 0; }

static uint8_t scratch[255];
EXPORT uint8_t *core_scratch(void) { return scratch; }
/* CRC over the first bytes of the scratch. */
EXPORT uint32_t core_crc(uint32_t length) { return crc16(scratch, (uint8_t)length); }

/* ---- replay ---- */

EXPORT void replay_start(void) { replay.on = true; }
EXPORT uint32_t replay_strayed(void) { return replay.strayed; }
EXPORT void replay_lock_at(uint32_t tick_number) {
  if (replay.locks == REPLAY_MAX) replay.strayed = true;
  else replay.lock_tick[replay.locks++] = tick_number;
}
EXPORT void replay_room(uint32_t room) {
  if (replay.rooms == REPLAY_MAX) replay.strayed = true;
  else replay.room_found[replay.rooms++] = (uint8_t)room;
}

/* From this tick on the inputs are exactly the mask. */
EXPORT void replay_inputs_at(uint32_t tick_number, uint32_t mask) {
  if (replay.input == replay.inputs) replay.input = replay.inputs = 0;
  if (replay.inputs == REPLAY_MAX) {
    replay.strayed = true;
    return;
  }
  replay.input_tick[replay.inputs] = tick_number;
  replay.input_mask[replay.inputs++] = (uint16_t)mask;
}

static void replay_done(void) {
  if (replay.lock != replay.locks || replay.room != replay.rooms) replay.strayed = true;
  replay.lock = replay.locks = replay.room = replay.rooms = 0;
}

EXPORT void replay_boot(uint32_t id, uint32_t cause) {
  board_boot(id, cause);
  replay_done();
}
EXPORT void replay_receive(uint32_t byte) {
  core_receive((uint8_t)byte);
  replay_done();
}
EXPORT void replay_overrun(uint32_t lost) {
  core_overrun((uint8_t)lost);
  replay_done();
}
EXPORT void replay_poll(void) {
  core_poll();
  replay_done();
}
EXPORT void replay_until(uint32_t tick_number) {
  while (now != tick_number) tick();
}
