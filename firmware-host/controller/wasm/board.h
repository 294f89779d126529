/* The virtual board: the core's port to the mechanism in machine.h. */
#ifndef BOARD_H
#define BOARD_H

#include "machine.h"

#define PORT_AXES 5
#ifndef PORT_BOARD
#define PORT_BOARD 3
#endif
#define PORT_PINS 24
#define PORT_TABLE
#define PORT_STEP_BIT(axis) (1u << (axis))

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
uint16_t port_boot_id(void);
uint8_t port_boot_cause(void);

#endif
