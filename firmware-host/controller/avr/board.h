/* The core's port to both AVR boards. Which signal is on which pin: pins.json, from which PINS_HEADER is made. */
#ifndef BOARD_H
#define BOARD_H

#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/pgmspace.h>
#include <stdbool.h>
#include <stdint.h>

#include PINS_HEADER

#define PORT_TABLE PROGMEM
#define PORT_STEP_BIT(axis) (1u << (STEP_SHIFT + (axis)))

/*
 * Marks for whoever watches the chip run (one-cycle stores to registers that have no other use). An emulator that notes them can
 * replay the main loop exactly: GPIOR0 when the tick is locked out, GPIOR2 each byte as it is read, GPIOR1 what else the main
 * loop finds: room on the line (0, 1), the start of a pass, bytes lost.
 */
#define MARK_PASS 0x80
#define MARK_LOST 0x40

static inline void port_lock(void) {
  cli();
  GPIOR0 = 1;
}
static inline void port_unlock(void) { sei(); }

/*
 * The gates of rare.S save what a call may change. The compiler, told of no call, then need not save it at the start of each tick
 * on the chance of one: 40 to 50 cycles of 400. After port_rare_last() the tick ends, so that little is left to save.
 */
#define port_rare(part) __asm__ volatile("call rare_" #part ::: "memory", "cc")
#define port_rare_last(part)                                                                                              \
  __asm__ volatile("call last_" #part ::: "memory", "cc", "r18", "r19", "r20", "r21", "r22", "r23", "r24", "r25", "r30")

#if defined(__AVR_ATmega2560__)

/* Each byte of SPEC 6 is a port of its own. */
_Static_assert(HALT_BIT == 0 && GUARD_BIT == 1 && DRIVE_FAULT_BIT == 2 && INDEX_BIT == 3 && STROKE_LOW_BIT == 4 &&
                 STROKE_HIGH_BIT == 5 && RADIAL_LOW_BIT == 6 && RADIAL_HIGH_BIT == 7,
               "port K holds bits 0-7");
_Static_assert(LAP_TURN_REFERENCE_BIT == 0 && LIFT_UP_BIT == 1 && LIFT_DOWN_BIT == 2 && TURNTABLE_REFERENCE_BIT == 3 &&
                 FREE_OF_GLASS_BIT == 4,
               "port F holds bits 8-12");
_Static_assert(HALT_OPEN && GUARD_OPEN && DRIVE_FAULT_OPEN && STROKE_LOW_OPEN && STROKE_HIGH_OPEN && RADIAL_LOW_OPEN && RADIAL_HIGH_OPEN,
               "an open wire stops");
_Static_assert(!LIFT_UP_OPEN && !LIFT_DOWN_OPEN && !FREE_OF_GLASS_OPEN, "an open wire says nothing of the lap");
/* Bits that are asserted when their pull-up is pulled down. */
#define LOW_CLOSED (!INDEX_OPEN << INDEX_BIT)
#define HIGH_CLOSED                                                                                                      \
  (!LAP_TURN_REFERENCE_OPEN << LAP_TURN_REFERENCE_BIT | 1 << LIFT_UP_BIT | 1 << LIFT_DOWN_BIT |                          \
   !TURNTABLE_REFERENCE_OPEN << TURNTABLE_REFERENCE_BIT | 1 << FREE_OF_GLASS_BIT)

static inline uint8_t port_inputs_low(void) { return PINK ^ LOW_CLOSED; }
static inline uint8_t port_inputs_high(void) { return (PINF ^ HIGH_CLOSED) & 0x1F; }

/* Ports A (STEP) and C (DIR) with nothing else that the tick must keep on A. */
static inline void port_step(uint8_t mask) { STEP_PORT = mask ^ STEP_INVERTED; }

#define USART_RX USART0_RX_vect

#elif defined(__AVR_ATmega328P__)

_Static_assert(HALT_BIT == 0 && GUARD_BIT == 1 && DRIVE_FAULT_BIT == 2 && INDEX_BIT == 3 && LIMITS_BIT == 4 && LIFT_UP_BIT == 5,
               "port C holds the inputs");
_Static_assert(HALT_OPEN && GUARD_OPEN && DRIVE_FAULT_OPEN && LIMITS_OPEN, "an open wire stops");
_Static_assert(!LIFT_UP_OPEN && !LIFT_DOWN_OPEN, "an open wire says nothing of the lap");
#define LOW_CLOSED (!INDEX_OPEN << INDEX_BIT)

static inline uint8_t port_inputs_low(void) {
  uint8_t pins = PINC ^ LOW_CLOSED;
  uint8_t low = pins & 0x0F;
  if (pins & (1 << LIMITS_BIT)) low |= 0xF0; /* four switches in series: any of them */
  return low;
}
static inline uint8_t port_inputs_high(void) {
  uint8_t high = 0;
  if (!(PINC & (1 << LIFT_UP_BIT))) high |= 0x02;
  if (!(PIND & (1 << LIFT_DOWN_BIT))) high |= 0x04;
  return high;
}

static inline void port_step(uint8_t mask) { STEP_PORT = (STEP_PORT & (uint8_t)~STEP_MASK) | (mask ^ STEP_INVERTED); }

#define USART_RX USART_RX_vect

#else
#error "no pins for this chip"
#endif

/* Only the tick and locked code write this port's other bits, or single-instruction stores do. */
static inline void port_direction(uint8_t mask) {
  uint8_t bits = (uint8_t)(mask << DIRECTION_SHIFT) & DIRECTION_MASK;
  DIRECTION_PORT = (DIRECTION_PORT & (uint8_t)~DIRECTION_MASK) | (bits ^ DIRECTION_INVERTED);
}

static inline void port_enable(bool on) {
  if (on != ENABLE_ON_LOW) ENABLE_PORT |= 1 << ENABLE_BIT;
  else ENABLE_PORT &= (uint8_t)~(1 << ENABLE_BIT);
}

static inline void port_lower(bool on) {
  if (on != LOWER_ON_LOW) LOWER_PORT |= 1 << LOWER_BIT;
  else LOWER_PORT &= (uint8_t)~(1 << LOWER_BIT);
}

static inline uint16_t port_table(const uint16_t *entry) { return pgm_read_word(entry); }

/* One byte a pass of the main loop is fast enough (about 60 bytes every 40 ms) and needs neither buffer nor interrupt. */
static inline uint8_t port_tx_room(void) {
  uint8_t room = UCSR0A & (1 << UDRE0) ? 1 : 0;
  GPIOR1 = room;
  return room;
}
static inline void port_tx(uint8_t byte) { UDR0 = byte; }

void port_accessory(uint8_t number, uint8_t how);
bool port_accessory_read(uint8_t number);
void port_analog_start(uint8_t number);
bool port_analog_done(uint16_t *value);

uint16_t port_boot_id(void);
uint8_t port_boot_cause(void);

#endif
