/* Start, interrupts and main loop of both AVR boards: 16 MHz, a 40 kHz tick from timer 1, 250,000 baud. */
#include <avr/eeprom.h>
#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/wdt.h>

#include "core.h"

#define CYCLES_PER_TICK 400 /* 16 MHz / 40 kHz */
#define BAUD_DIVISOR 3 /* 16 MHz / 16 / 250,000 - 1: exact */
#define RX_SIZE 128 /* a power of two; more than one longest frame */
#define BYTES_PER_PASS 8

static uint8_t rx_ring[RX_SIZE];
static volatile uint8_t rx_head;
static uint8_t rx_tail;
static volatile uint8_t rx_lost;

static uint8_t reset_flags __attribute__((section(".noinit")));

/* Before anything else: keep the cause, and stop a watchdog that would bite again before main() runs. */
__attribute__((naked, used, section(".init3"))) void keep_reset_flags(void) {
  reset_flags = MCUSR;
  MCUSR = 0;
  wdt_disable();
}

uint8_t port_boot_cause(void) {
  if (reset_flags & (1 << WDRF)) return 4;
  if (reset_flags & (1 << BORF)) return 3;
  if (reset_flags & (1 << PORF)) return 1;
  return 2; /* the reset pin, or a boot loader cleared the flags on its way here */
}

/* Counts boots in EEPROM, so that a host notices one that it did not see. */
uint16_t port_boot_id(void) {
  static uint16_t EEMEM boots;
  uint16_t id = eeprom_read_word(&boots) + 1;
  if (id == 0) id = 1;
  eeprom_write_word(&boots, id);
  return id;
}

ISR(TIMER1_COMPA_vect) { core_tick(); }

/*
 * Its length is jitter of STEP when a tick falls due meanwhile, so all is done in bytes. The slot at the head is free at any time: the
 * ring is full while one is left.
 */
ISR(USART_RX) {
  uint8_t overrun = UCSR0A & (1 << DOR0);
  uint8_t head = rx_head;
  rx_ring[head] = UDR0;
  head = (uint8_t)(head + 1) & (RX_SIZE - 1);
  if (head == rx_tail) overrun = 1;
  else rx_head = head;
  if (overrun && rx_lost != MARK_LOST - 1) rx_lost++;
}

/* Levels before directions, so that no output is on for a moment. */
static void start_pins(void) {
  port_step(0);
  port_direction(0);
  port_enable(false);
  port_lower(false);
  STEP_DDR |= STEP_MASK;
  DIRECTION_DDR |= DIRECTION_MASK;
  ENABLE_DDR |= 1 << ENABLE_BIT;
  LOWER_DDR |= 1 << LOWER_BIT;
#define PULL_UP(name) name##_PORT |= 1 << name##_BIT
  PULL_UP(HALT);
  PULL_UP(GUARD);
  PULL_UP(DRIVE_FAULT);
  PULL_UP(INDEX);
  PULL_UP(LIFT_UP);
  PULL_UP(LIFT_DOWN);
#ifdef LIMITS_BIT
  PULL_UP(LIMITS);
#else
  PULL_UP(STROKE_LOW);
  PULL_UP(STROKE_HIGH);
  PULL_UP(RADIAL_LOW);
  PULL_UP(RADIAL_HIGH);
  PULL_UP(LAP_TURN_REFERENCE);
  PULL_UP(TURNTABLE_REFERENCE);
  PULL_UP(FREE_OF_GLASS);
#endif
}

static void start_clock_and_line(void) {
  OCR1A = CYCLES_PER_TICK - 1;
  TCCR1A = 0;
  TCCR1B = 1 << WGM12 | 1 << CS10;
  TIMSK1 = 1 << OCIE1A;

  UBRR0 = BAUD_DIVISOR;
  UCSR0C = 1 << UCSZ01 | 1 << UCSZ00;
  UCSR0B = 1 << RXEN0 | 1 << TXEN0 | 1 << RXCIE0;
}

static void report_lost_bytes(void) {
  if (rx_lost == 0) return;
  cli();
  uint8_t lost = rx_lost;
  rx_lost = 0;
  sei();
  GPIOR1 = MARK_LOST | lost;
  core_overrun(lost);
}

static void read_bytes(void) {
  for (uint8_t left = BYTES_PER_PASS; left != 0 && rx_tail != rx_head; left--) {
    uint8_t byte = rx_ring[rx_tail];
    rx_tail = (rx_tail + 1) % RX_SIZE;
    GPIOR2 = byte;
    core_receive(byte);
  }
}

int main(void) {
  start_pins();
  core_init();
  start_clock_and_line();
  wdt_enable(WDTO_250MS);
  sei();
  uint16_t clock = 0;
  for (;;) {
    report_lost_bytes();
    read_bytes();
    GPIOR1 = MARK_PASS;
    core_poll();
    /* The dog is fed from here alone, and only while the tick is alive. */
    if (core.clock_seen != clock) {
      clock = core.clock_seen;
      wdt_reset();
    }
  }
}
