/* The lift of the lap: an output, two sensors, a time-out (SPEC 5); main loop only. */
#ifndef LIFT_H
#define LIFT_H

#include <stdbool.h>

void lift_ask(bool up);

/* Whether the sensor that should have answered has not. */
bool lift_late(void);

void lift_millisecond(void);

#endif
