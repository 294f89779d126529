/*
 * The only door to the hardware. A port supplies `board.h` beside its sources with
 *
 *   constants   PORT_AXES (4 or 5), PORT_BOARD (the SPEC's board code), PORT_PINS (pins a Firmata client sees), PORT_TABLE (how a
 *               constant table is kept out of RAM), IMAGE_HASH (first 32 bits of the sources' hash, from the build)
 *   in the tick port_rare(function): calls it; port_rare_last(function): the same, where nothing follows; port_inputs_low(), port_inputs_high(): bits of SPEC 6, 1 = asserted; port_step(mask): STEP pins follow the mask;
 *               port_direction(mask); PORT_STEP_BIT(axis): where an axis stands in the mask
 *   anywhere    port_enable(on), port_lower(on): outputs, safe against an interrupt in the middle
 *   main loop   port_lock(), port_unlock(): keep the tick out for a few dozen cycles; they are also compiler barriers. port_tx_room()
 *               and port_tx(byte): bytes to the host, never blocking; port_table(&entry): reads a u16 of a PORT_TABLE
 *               Accessories: PORT_ACCESSORIES digital pins from Firmata pin PORT_ACCESSORY_FIRST on, PORT_ANALOGS from PORT_ANALOG_FIRST on (8 of
 *               each at most); port_accessory(number, how), port_accessory_read(number), port_analog_start(number) and port_analog_done(&value),
 *               which never waits
 *   start       port_boot_id(), port_boot_cause()
 */
#ifndef PORT_H
#define PORT_H

#include <stdbool.h>
#include <stdint.h>

enum accessory_use { ACCESSORY_INPUT, ACCESSORY_PULLUP, ACCESSORY_LOW, ACCESSORY_HIGH };

#include "board.h"

#if PORT_AXES == 5
#define FOR_EACH_AXIS(DO) DO(0) DO(1) DO(2) DO(3) DO(4)
#elif PORT_AXES == 4
#define FOR_EACH_AXIS(DO) DO(0) DO(1) DO(2) DO(3)
#else
#error "PORT_AXES must be 4 or 5"
#endif

#endif
