/* Made from pins.json for the small board (ATmega328P) by "npm run build"; change the table, not this file. */
#ifndef PINS_H
#define PINS_H

#define PORT_AXES 4
#define PORT_BOARD 2
#define PORT_PINS 22

#define STEP_PORT PORTD
#define STEP_DDR DDRD
#define STEP_SHIFT 2
#define STEP_MASK 0x3C
#define STEP_INVERTED 0x0
#define DIRECTION_PORT PORTB
#define DIRECTION_DDR DDRB
#define DIRECTION_SHIFT 0
#define DIRECTION_MASK 0xF
#define DIRECTION_INVERTED 0x0
#define ENABLE_PORT PORTB
#define ENABLE_BIT 4
#define ENABLE_DDR DDRB
#define ENABLE_ON_LOW 1
#define LOWER_PORT PORTD
#define LOWER_BIT 6
#define LOWER_DDR DDRD
#define LOWER_ON_LOW 0
#define HALT_PORT PORTC
#define HALT_BIT 0
#define HALT_PIN PINC
#define HALT_OPEN 1
#define GUARD_PORT PORTC
#define GUARD_BIT 1
#define GUARD_PIN PINC
#define GUARD_OPEN 1
#define DRIVE_FAULT_PORT PORTC
#define DRIVE_FAULT_BIT 2
#define DRIVE_FAULT_PIN PINC
#define DRIVE_FAULT_OPEN 1
#define INDEX_PORT PORTC
#define INDEX_BIT 3
#define INDEX_PIN PINC
#define INDEX_OPEN 0
#define LIMITS_PORT PORTC
#define LIMITS_BIT 4
#define LIMITS_PIN PINC
#define LIMITS_OPEN 1
#define LIFT_UP_PORT PORTC
#define LIFT_UP_BIT 5
#define LIFT_UP_PIN PINC
#define LIFT_UP_OPEN 0
#define LIFT_DOWN_PORT PORTD
#define LIFT_DOWN_BIT 7
#define LIFT_DOWN_PIN PIND
#define LIFT_DOWN_OPEN 0
#define PORT_ACCESSORIES 1
#define PORT_ACCESSORY_FIRST 13
#define ACCESSORY_PINS(DO) DO(0, B, 5)
#define PORT_ANALOGS 2
#define PORT_ANALOG_FIRST 20
#define ANALOG_CHANNELS(DO) DO(0, 6) DO(1, 7)

#endif
