/* The easing law, SPEC 3; README.md draws it. */
#ifndef EASING_H
#define EASING_H

#include <stdint.h>

#define RAMP_MIN_MS 50
#define RAMP_MAX_MS 1500 /* D(64) of a longer ramp would not fit the ring */

/* Sets interval and reach[] for a ramp of so many milliseconds (RAMP_MIN_MS..RAMP_MAX_MS). At rest only. */
void easing_set_ramp(uint16_t ramp_ms);

/* One ramp update; tick only. */
void easing_update(void);

#endif
