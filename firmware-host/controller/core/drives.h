/* The drives' enable output and the delay before the first step; main loop only. */
#ifndef DRIVES_H
#define DRIVES_H

#include <stdbool.h>

/* False when a latched stop stands. */
bool drives_on(void);
void drives_off(void);
void drives_millisecond(void);

#endif
