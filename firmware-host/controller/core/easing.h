/* The easing law, SPEC 3; README.md draws it. */
#ifndef EASING_H
#define EASING_H

#include <stdint.h>

#define RAMP_MIN_MS 50
#define RAMP_MAX_MS 1500 /* D(64) of a longer ramp would not fit the ring */

/*
 * Sets reach[] for a ramp of so many milliseconds (RAMP_MIN_MS..RAMP_MAX_MS) and returns the interval, which the caller hands to
 * the tick. At rest only, when the tick does not read reach[].
 */
uint16_t easing_prepare(uint16_t ramp_ms);

/* One ramp update; tick only. */
void easing_update(void);

#endif
