/* Accessories: the few pins that a stock Firmata client may use (SPEC 7); main loop only. */
#ifndef ACCESSORY_H
#define ACCESSORY_H

#include <stdbool.h>
#include <stdint.h>

/* A message of one or two data bytes: 0x90, 0xC0, 0xD0, 0xF4, 0xF5. */
void accessory_message(uint8_t status, uint8_t first, uint8_t second);

/* How many data bytes follow a status byte that is listened to; 0 for all others. */
uint8_t accessory_data_bytes(uint8_t status);

/* How often analog values are told, milliseconds. */
void accessory_interval(uint16_t ms);

/* Nobody is there to switch it off: outputs become inputs, so that what hangs on them falls off. */
void accessory_release(void);

/* Once a millisecond. */
void accessory_millisecond(void);

/* The next thing to tell, three bytes into core.brief; false when there is none. */
bool accessory_tell(void);

/* Bytes of the capability and analog mapping answers, counted from the first pin; 0 is beyond the last. */
uint8_t accessory_capability(uint8_t at, bool *last);
uint8_t accessory_channel(uint8_t pin);

#endif
