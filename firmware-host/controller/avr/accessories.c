/* Accessory pins and the converter. No interrupt writes these bits, and those that share a port with the tick are set by one instruction. */
#include <avr/io.h>

#include "core.h"

/* Level or pull-up before the direction, so that an output is not on for a moment. */
#define USE(number, port, bit)                                              \
  case number:                                                              \
    if (how == ACCESSORY_PULLUP || how == ACCESSORY_HIGH) PORT##port |= 1 << (bit); \
    else PORT##port &= (uint8_t)~(1 << (bit));                              \
    if (how >= ACCESSORY_LOW) DDR##port |= 1 << (bit);                      \
    else DDR##port &= (uint8_t)~(1 << (bit));                               \
    break;

void port_accessory(uint8_t number, uint8_t how) {
  switch (number) { ACCESSORY_PINS(USE) }
}

#define READ(number, port, bit) \
  case number:                  \
    return PIN##port >> (bit) & 1;

bool port_accessory_read(uint8_t number) {
  switch (number) { ACCESSORY_PINS(READ) }
  return false;
}

#define CHANNEL(number, channel)          \
  case number:                            \
    ADMUX = 1 << REFS0 | (channel);       \
    break;

/* Supply as reference; 125 kHz, 104 us a conversion. */
void port_analog_start(uint8_t number) {
  switch (number) { ANALOG_CHANNELS(CHANNEL) }
  ADCSRA = 1 << ADEN | 1 << ADSC | 1 << ADPS2 | 1 << ADPS1 | 1 << ADPS0;
}

bool port_analog_done(uint16_t *value) {
  if (ADCSRA & (1 << ADSC)) return false;
  *value = ADC;
  return true;
}
