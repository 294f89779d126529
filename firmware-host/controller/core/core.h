/*
 * The controller's core: what a port calls, and the one state struct.
 *
 * Who writes what (README.md has the reasons): fields under "tick" are written by core_tick() and by the main loop only between
 * port_lock() and port_unlock(); fields under "main" are never touched by the tick.
 */
#ifndef CORE_H
#define CORE_H

#include <stdbool.h>
#include <stdint.h>

#include "port.h"
#include "spec.h"

/* No channel of analog_untold. */
#define NOTHING_UNTOLD 0xFF

struct place {
  uint16_t begun;
  uint8_t ticks_left;
};

struct core {
  /* tick: the walk */
  uint8_t ring[RING_SIZE][SEGMENT_BYTES];
  uint8_t head; /* free-running: segments pushed; written by main */
  uint8_t tail; /* free-running: segments fetched */
  uint8_t remainder[PORT_AXES]; /* of the DDA, kept as remainder - ticks + 256 so that a carry out of 8 bits is a step */
  uint8_t steps[PORT_AXES];
  uint8_t ticks;
  uint8_t flags;
  struct place at;
  uint8_t pending; /* STEP mask that rises at the next tick */
  uint16_t clock; /* controller ticks, modulo 65536 */

  /* tick: pace */
  uint8_t level;
  uint8_t target;
  uint16_t rate; /* S(level) */
  uint16_t phase; /* accumulator of path ticks, below RATE_FULL */
  uint16_t update_at; /* clock of the next ramp update */
  uint16_t interval; /* I of SPEC 3; written by main at rest */
  uint16_t reach[LEVEL_FULL + 1]; /* D of SPEC 3; written by main at rest */
  uint16_t ticks_pushed; /* path ticks, modulo 65536; written by main */
  uint16_t ticks_fetched;
  uint8_t rests_pushed; /* written by main */
  uint8_t rests_reached;
  bool at_planned_rest;
  uint16_t droops; /* ramp updates held down by R */
  uint16_t underruns;

  /* tick: inputs, seek, stops */
  uint8_t sample; /* first byte of inputs as read in this tick */
  uint8_t low; /* accepted inputs */
  uint8_t high;
  uint8_t low_differed; /* bits that differed from the accepted ones at the last sample */
  uint8_t high_differed;
  bool watch; /* a seek is on or a limit is asserted */
  uint8_t trip_mask; /* inputs that trip on one sample; none while a stop that tripped stands */
  uint8_t limit_mask; /* limits that trip while walking */
  bool seeking;
  bool seek_latched;
  uint8_t seek_mask_low;
  uint8_t seek_mask_high;
  uint8_t seek_flip_low; /* complement of the levels asked */
  uint8_t seek_flip_high;
  struct place seek_place;
  uint16_t index_count;
  struct place index_place;
  uint8_t stop;
  struct place stop_place;
  bool drives;
  bool drives_off_at_rest;
  bool position_lost;
  bool news; /* something a status should tell at once */

  /* main: stream from the host */
  uint8_t rx_state;
  uint8_t rx_id;
  uint8_t rx_length; /* bytes in frame[] */
  uint8_t rx_scale; /* packing: 2^(8 - place in the group of eight), 0 at its start */
  uint8_t rx_before; /* packing: the wire byte before */
  uint8_t frame[FRAME_IN_MAX];

  /* main: link */
  uint16_t link; /* 0 = none open */
  uint16_t last_link;
  uint8_t seq;
  uint8_t eases;
  bool gap; /* a segments frame was refused: the path has a hole until a flush or open */
  uint16_t beat;
  uint16_t silent_limit_ms;
  uint16_t silent_left_ms;
  bool silent;
  uint8_t errors; /* link errors in the second that runs */
  uint16_t second_left_ms;
  uint16_t accepted;
  bool has_last; /* a segment was accepted since open or flush */
  uint8_t counters[8];

  /* main: clocks, drives, lift */
  uint32_t clock_long;
  uint16_t clock_seen;
  uint16_t ms_rest; /* ticks not yet counted as a millisecond */
  uint32_t droop_ticks;
  uint16_t droops_seen;
  uint16_t enable_delay_ms;
  uint16_t enable_left_ms;
  uint16_t lift_limit_ms;
  uint16_t lift_left_ms;
  bool lift_asked;
  bool lift_up; /* what the output says */
  uint8_t lift;

  /* main: bytes to the host */
  uint8_t wanted; /* answers that wait */
  uint8_t sending;
  uint8_t out_at; /* wire byte of the answer being sent */
  uint8_t out_read; /* packing: next byte of out[] */
  uint8_t out_scale;
  uint8_t out_length;
  uint8_t out[56];
  uint8_t status_left_ms;
  uint8_t refused[4];
  struct place flushed;
  struct place opened;
  uint16_t opened_link;
  uint16_t boot_id;
  uint8_t boot_cause;
  uint8_t brief[3]; /* a short message, sent when no answer waits */
  uint8_t brief_left;

  /* main: accessories; masks have a bit for each */
  uint8_t accessory_outputs;
  uint8_t accessory_levels; /* of outputs as written, of inputs as last read */
  uint8_t accessory_reporting;
  uint8_t accessory_untold;
  uint8_t analog_reporting;
  uint8_t analog_next; /* channel whose turn it is */
  uint8_t analog_untold; /* channel of analog_value, or NOTHING_UNTOLD */
  bool analog_busy;
  uint16_t analog_value;
  uint16_t analog_interval_ms;
  uint16_t analog_left_ms;
};

extern struct core core;

/* To be called, in the tick or inside a lock, when accepted inputs, limit_mask or seeking have changed. */
static inline void core_watch_again(void) { core.watch = core.seeking || (core.low & core.limit_mask) != 0; }

/* Before the first tick. Everything stands still, drives off, lift up. */
void core_init(void);

/* The body of the 40 kHz interrupt. */
void core_tick(void);

/* One byte from the host; main loop only. */
void core_receive(uint8_t byte);

/* Bytes that the port lost on their way in (saturating count since the last call); main loop only. */
void core_overrun(uint8_t lost);

/* One pass of everything that is not urgent; main loop only, often. */
void core_poll(void);

#endif
