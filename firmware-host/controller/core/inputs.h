/* Debouncing of sampled inputs, SPEC 6. */
#ifndef INPUTS_H
#define INPUTS_H

#include <stdint.h>

/*
 * A bit is accepted when two samples in a row differ from what was accepted before. `differed` keeps the bits that did so at the
 * last sample; returns those that were accepted with this one.
 */
static inline uint8_t inputs_accept(uint8_t sample, uint8_t *accepted, uint8_t *differed) {
  uint8_t differs = sample ^ *accepted;
  uint8_t taken = differs & *differed;
  *differed = differs ^ taken;
  *accepted ^= taken;
  return taken;
}

#endif
