/*
 * A board in simavr, a second emulator of the chips, led over its standard input and output: see second-emulator.ts. Compiled where the
 * proof is run and not given away: what comes of it is under simavr's licence (GPL 3), this file under that of the repository.
 *
 *   w BYTE              puts a byte on the line to the chip
 *   p PORT MASK LEVELS  what outside drives the pins of a port to, against its pull-ups
 *   d ADDRESS           answers "d" and the byte at a data address
 *   r CYCLES            runs; answers what the chip did, in its order: "b BYTE" sent; "s BIT WAYS CYCLE" a pin of the STEP port rose, with
 *                       what stood on the DIR port; "x" the chip has stopped or was reset
 */
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "avr_ioport.h"
#include "avr_uart.h"
#include "sim_avr.h"
#include "sim_elf.h"
#include "sim_hex.h"

/* simavr counts eleven bits to a character, at 64 cycles each; a line as fast as the real one would outrun it. */
#define CYCLES_PER_BYTE 704
#define LINE_SIZE 65536

static avr_t *avr;
static uint8_t line[LINE_SIZE];
static uint32_t line_head;
static uint32_t line_tail;
static avr_irq_t *line_irq;
static unsigned long direction_address;

static void on_byte(struct avr_irq_t *irq, uint32_t value, void *param) {
  (void)irq;
  (void)param;
  printf("b %u\n", value & 0xFF);
}

static void on_step(struct avr_irq_t *irq, uint32_t value, void *param) {
  if (!value || irq->value) return;
  printf("s %d %u %llu\n", (int)(intptr_t)param, avr->data[direction_address], (unsigned long long)avr->cycle);
}

/* Now, and whenever the image stores to the port again. */
static void drive(char port, uint8_t mask, uint8_t levels) {
  avr_ioport_external_t external = {.name = (unsigned)port, .mask = mask, .value = levels};
  avr_ioctl(avr, AVR_IOCTL_IOPORT_SET_EXTERNAL(port), &external);
  for (int bit = 0; bit < 8; bit++) {
    if (!(mask >> bit & 1)) continue;
    avr_raise_irq(avr_io_getirq(avr, AVR_IOCTL_IOPORT_GETIRQ(port), bit), levels >> bit & 1);
  }
}

static avr_cycle_count_t next_byte(struct avr_t *board, avr_cycle_count_t when, void *param) {
  (void)board;
  (void)param;
  if (line_tail != line_head) avr_raise_irq(line_irq, line[line_tail++ % LINE_SIZE]);
  return when + CYCLES_PER_BYTE;
}

static void quiet(avr_t *board, const int level, const char *format, va_list list) {
  (void)board;
  if (level <= LOG_ERROR) vfprintf(stderr, format, list);
}

static void run(avr_cycle_count_t cycles) {
  avr_cycle_count_t goal = avr->cycle + cycles;
  while (avr->cycle < goal) {
    avr_cycle_count_t before = avr->cycle;
    int state = avr_run(avr);
    if (state == cpu_Done || state == cpu_Crashed || avr->cycle < before) {
      printf("x\n");
      break;
    }
  }
}

int main(int argc, char **argv) {
  if (argc < 5) {
    fprintf(stderr, "simavr-board CHIP IMAGE.hex STEP_PORT DIR_ADDRESS\n");
    return 1;
  }
  avr_global_logger_set(quiet);
  avr = avr_make_mcu_by_name(argv[1]);
  elf_firmware_t firmware;
  memset(&firmware, 0, sizeof firmware);
  firmware.flash = read_ihex_file(argv[2], &firmware.flashsize, &firmware.flashbase);
  if (!avr || !firmware.flash) {
    fprintf(stderr, "simavr knows no %s, or cannot read %s\n", argv[1], argv[2]);
    return 1;
  }
  firmware.frequency = 16000000;
  avr_init(avr);
  avr_load_firmware(avr, &firmware);
  char step_port = argv[3][0];
  direction_address = strtoul(argv[4], NULL, 0);

  uint32_t flags = 0;
  avr_ioctl(avr, AVR_IOCTL_UART_SET_FLAGS('0'), &flags);
  line_irq = avr_io_getirq(avr, AVR_IOCTL_UART_GETIRQ('0'), UART_IRQ_INPUT);
  avr_irq_register_notify(avr_io_getirq(avr, AVR_IOCTL_UART_GETIRQ('0'), UART_IRQ_OUTPUT), on_byte, NULL);
  for (int bit = 0; bit < 8; bit++)
    avr_irq_register_notify(avr_io_getirq(avr, AVR_IOCTL_IOPORT_GETIRQ(step_port), bit), on_step, (void *)(intptr_t)bit);
  avr_cycle_timer_register(avr, CYCLES_PER_BYTE, next_byte, NULL);

  char command[64];
  while (fgets(command, sizeof command, stdin)) {
    char port;
    unsigned long a, b;
    if (sscanf(command, "w %lu", &a) == 1) line[line_head++ % LINE_SIZE] = (uint8_t)a;
    else if (sscanf(command, "p %c %lu %lu", &port, &a, &b) == 3) drive(port, (uint8_t)a, (uint8_t)b);
    else if (sscanf(command, "d %lu", &a) == 1) printf("d %u\n", avr->data[a]);
    else if (sscanf(command, "r %lu", &a) == 1) run(a);
  }
  return 0;
}
