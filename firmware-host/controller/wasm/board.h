/* The virtual board: the core's port to the mechanism in machine.h. */
#ifndef BOARD_H
#define BOARD_H

#include "machine.h"

#define PORT_AXES 5
#ifndef PORT_BOARD
#define PORT_BOARD 3
#endif
/* Pins as a Firmata client sees them: those of the reference board, unless another board is relived. */
#define PORT_PINS wiring.pins
#define PORT_ACCESSORIES wiring.accessories
#define PORT_ACCESSORY_FIRST wiring.accessory_first
#define PORT_ANALOGS wiring.analogs
#define PORT_ANALOG_FIRST wiring.analog_first
#define PORT_TABLE
#define PORT_STEP_BIT(axis) (1u << (axis))

struct wiring {
  uint8_t pins;
  uint8_t accessories;
  uint8_t accessory_first;
  uint8_t analogs;
  uint8_t analog_first;
};
extern struct wiring wiring;

static inline uint8_t port_inputs_low(void) { return (uint8_t)machine.inputs; }
static inline uint8_t port_inputs_high(void) { return (uint8_t)(machine.inputs >> 8); }
static inline void port_step(uint8_t mask) {
  if (mask) machine_step(mask);
}
static inline void port_direction(uint8_t mask) { machine.direction = mask; }
static inline void port_enable(bool on) { machine.enabled = on; }
static inline void port_lower(bool on) { machine.lower = on; }
static inline uint16_t port_table(const uint16_t *entry) { return *entry; }

static inline void port_rare(void (*part)(void)) { part(); }
static inline void port_rare_last(void (*part)(void)) { part(); }

void port_lock(void);
static inline void port_unlock(void) {}
uint8_t port_tx_room(void);
void port_tx(uint8_t byte);
void port_accessory(uint8_t number, uint8_t how);
bool port_accessory_read(uint8_t number);
void port_analog_start(uint8_t number);
bool port_analog_done(uint16_t *value);
uint16_t port_boot_id(void);
uint8_t port_boot_cause(void);

#endif
