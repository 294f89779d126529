/* Latched stops, SPEC 5. */
#ifndef STOPS_H
#define STOPS_H

#include <stdint.h>

/*
 * Halt, drive fault, limit: no further step edge, drives off, position lost. Tick, or main inside a lock.
 */
void stop_trip(uint8_t cause);

/* All other causes: the walk eases. Tick, or main inside a lock. */
void stop_ease(uint8_t cause);

#endif
