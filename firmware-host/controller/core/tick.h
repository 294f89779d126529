/*
 * The rare parts of the tick. Each is called from one place in core_tick() through port_rare(), which lets a port keep the price
 * of a call (saving registers) out of the ticks that do not need it.
 */
#ifndef TICK_H
#define TICK_H

/* Halt or drive fault is asserted in core.sample. */
void tick_trip(void);

/* core.sample differs from the accepted inputs, or did at the last look; a seek is on or a limit asserted. */
void tick_look(void);

/* A segment is at its end: a planned rest, the next segment. */
void tick_segment(void);

/* A ramp update is due. */
void tick_ramp(void);

#endif
