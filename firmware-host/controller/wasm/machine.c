#include "machine.h"

#include "events.h"
#include "export.h"

#define IN_INDEX 0x0008
#define IN_STROKE_LOW 0x0010
#define IN_STROKE_HIGH 0x0020
#define IN_RADIAL_LOW 0x0040
#define IN_RADIAL_HIGH 0x0080
#define IN_LAP_REFERENCE 0x0100
#define IN_LIFT_UP 0x0200
#define IN_LIFT_DOWN 0x0400
#define IN_FREE 0x1000

enum axis { TURNTABLE, STROKE, RADIAL, LAP_TURN, SPARE };

struct machine machine;

static void turn_by(struct mark *mark, int64_t parts) {
  if (mark->turn == 0) return;
  mark->at += parts;
  if (mark->at >= mark->turn) mark->at -= mark->turn;
  else if (mark->at < 0) mark->at += mark->turn;
}

static bool at_mark(const struct mark *mark) { return mark->turn != 0 && mark->at < mark->width; }

/* Every comparator afresh; called when something moved, not every tick. */
static void compare(void) {
  uint16_t in = 0;
  if (at_mark(&machine.table_index)) in |= IN_INDEX;
  if (at_mark(&machine.lap_reference)) in |= IN_LAP_REFERENCE;
  if (machine.position[STROKE] <= machine.stroke.low) in |= IN_STROKE_LOW;
  if (machine.position[STROKE] >= machine.stroke.high) in |= IN_STROKE_HIGH;
  if (machine.position[RADIAL] <= machine.radial.low) in |= IN_RADIAL_LOW;
  if (machine.position[RADIAL] >= machine.radial.high) in |= IN_RADIAL_HIGH;
  if (machine.lift_at == machine.lift_travel) in |= IN_LIFT_UP;
  if (machine.lift_at == 0) in |= IN_LIFT_DOWN;
  if (machine.lift_at >= machine.lift_free) in |= IN_FREE;
  machine.inputs = (uint16_t)((in | machine.forced_on) & ~machine.forced_off);
}

void machine_step(uint8_t mask) {
  if (events.on) events_add(mask, machine.direction);
  if (!machine.enabled) return; /* a motor without current does not follow */
  for (uint8_t axis = 0; axis < MACHINE_AXES; axis++) {
    if (!(mask >> axis & 1)) continue;
    int32_t way = machine.direction >> axis & 1 ? -1 : 1;
    machine.position[axis] += way;
    machine.travel[axis]++;
    if (axis == TURNTABLE) turn_by(&machine.table_index, (int64_t)way * machine.table_index.parts_per_step);
    if (axis == LAP_TURN) turn_by(&machine.lap_reference, (int64_t)way * machine.lap_reference.parts_per_step);
  }
  compare();
}

void machine_tick_lift(void) {
  uint32_t goal = machine.lower ? 0 : machine.lift_travel;
  machine.lift_moving = machine.lift_at != goal;
  if (!machine.lift_moving || machine.lift_stuck) return;
  machine.lift_at += machine.lower ? -1u : 1u;
  if (machine.lift_at == goal || machine.lift_at == machine.lift_free || machine.lift_at + 1 == machine.lift_free ||
      machine.lift_at == 1 || machine.lift_at + 1 == machine.lift_travel) {
    compare();
  }
}

EXPORT void machine_init(void) {
  machine = (struct machine){0};
  machine.stroke = machine.radial = (struct limits){INT32_MIN, INT32_MAX};
  machine.lift_travel = machine.lift_at = 40u * 800u;
  machine.lift_free = 40u * 200u;
  compare();
}

EXPORT void machine_force(uint32_t on, uint32_t off) {
  machine.forced_on = (uint16_t)on;
  machine.forced_off = (uint16_t)off;
  compare();
}

EXPORT int32_t machine_position(uint32_t axis) { return axis < MACHINE_AXES ? machine.position[axis] : 0; }
EXPORT uint32_t machine_travel(uint32_t axis) { return axis < MACHINE_AXES ? machine.travel[axis] : 0; }

/* Puts an axis elsewhere, as a hand or a knock would; marks do not follow (machine_slip does that). */
EXPORT void machine_place(uint32_t axis, int32_t steps) {
  if (axis < MACHINE_AXES) machine.position[axis] = steps;
  compare();
}

/* What turns moves by so many parts against its motor: slip, or where the mark is to begin with. Not more than a turn at once. */
EXPORT void machine_slip(uint32_t axis, int64_t parts) {
  turn_by(axis == LAP_TURN ? &machine.lap_reference : &machine.table_index, parts);
  compare();
}

/* Fits a mark; the axis stands `at` parts past its leading edge. */
EXPORT void machine_mark(uint32_t axis, int64_t turn, int32_t parts_per_step, int64_t width, int64_t at) {
  *(axis == LAP_TURN ? &machine.lap_reference : &machine.table_index) = (struct mark){turn, at, width, parts_per_step};
  compare();
}

EXPORT int64_t machine_mark_at(uint32_t axis) {
  return axis == LAP_TURN ? machine.lap_reference.at : machine.table_index.at;
}

/* Limit switches of the stroke or the radial slide, in steps. */
EXPORT void machine_limits(uint32_t axis, int32_t low, int32_t high) {
  *(axis == RADIAL ? &machine.radial : &machine.stroke) = (struct limits){low, high};
  compare();
}

/* Travel time and the height from which the lap is free of the glass, in ticks; a stuck lift stays where it is. */
EXPORT void machine_lift(uint32_t travel, uint32_t free, uint32_t stuck) {
  if (machine.lift_at == machine.lift_travel || machine.lift_at > travel) machine.lift_at = travel;
  machine.lift_travel = travel;
  machine.lift_free = free;
  machine.lift_stuck = stuck;
  compare();
}

/* Puts the lift elsewhere, ticks of travel; for a board that boots with the lap half way. */
EXPORT void machine_lift_place(uint32_t at) {
  machine.lift_at = at < machine.lift_travel ? at : machine.lift_travel;
  machine.lift_moving = true;
  compare();
}

EXPORT uint32_t machine_lift_at(void) { return machine.lift_at; }
EXPORT uint32_t machine_enabled(void) { return machine.enabled; }
EXPORT uint32_t machine_inputs(void) { return machine.inputs; }
