/*
 * The virtual stand's mechanism, tick-true: motors that follow STEP edges, the turntable's index and the lapTurn reference at
 * fractions of a step, limit switches, the lift, and switches that force any input. What is worn, warm or wet is the host's.
 */
#ifndef MACHINE_H
#define MACHINE_H

#include <stdbool.h>
#include <stdint.h>

#define MACHINE_AXES 5

/* A mark on something that turns. Angles are counted in parts: `parts_per_step` of them make a step, `turn` a revolution. */
struct mark {
  int64_t turn; /* 0 = not fitted */
  int64_t at; /* where the axis stands, 0..turn - 1; asserted while below `width` */
  int64_t width;
  int32_t parts_per_step;
};

struct limits {
  int32_t low; /* asserted at or below */
  int32_t high; /* asserted at or above */
};

struct machine {
  /* set by the core */
  uint8_t direction;
  bool enabled;
  bool lower;
  /* what a test or the host reads and sets, through the exports of machine.c */
  uint16_t inputs; /* bits of SPEC 6 as the core sees them */
  uint16_t forced_on;
  uint16_t forced_off;
  int32_t position[MACHINE_AXES];
  uint32_t travel[MACHINE_AXES]; /* steps made, without sign */
  struct mark table_index;
  struct mark lap_reference;
  struct limits stroke;
  struct limits radial;
  uint32_t lift_travel; /* ticks from one end to the other */
  uint32_t lift_at; /* 0 = down */
  uint32_t lift_free; /* free of the glass from here up */
  bool lift_stuck;
  bool lift_moving;
};

extern struct machine machine;

/* Rising STEP edges. */
void machine_step(uint8_t mask);

/* One controller tick of what moves by itself. */
void machine_tick_lift(void);

void machine_init(void);

/* Inputs forced asserted or released whatever the mechanism does: faults, cut wires, buttons. */
void machine_force(uint32_t on, uint32_t off);

#endif
