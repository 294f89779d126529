/* What the sequenced frames and `open` do, SPEC 4; main loop only. */
#ifndef COMMANDS_H
#define COMMANDS_H

#include <stdbool.h>
#include <stdint.h>

#include "ring.h"

bool command_known(uint8_t type);
bool command_fits(uint8_t type, uint8_t length);
struct refusal_note command_run(uint8_t type, const uint8_t *body, uint8_t length);
struct refusal_note command_open(const uint8_t *body);

#endif
