/* Sampled inputs, SPEC 6, and what happens in the tick that accepts a change. */
#ifndef INPUTS_H
#define INPUTS_H

#include "core.h"
#include "stops.h"

/* A change was accepted: `taken` are the bits of the first byte that changed. */
static inline void inputs_changed(uint8_t taken) {
  if (taken & core.low & LOW_INDEX) {
    core.index_count++;
    core.index_place = core.at;
  }
  if (taken & core.low & LOW_GUARD) stop_ease(STOP_GUARD);
}

/* A bit is accepted when two samples in a row differ from what was accepted before. */
static inline void inputs_sample(uint8_t low, uint8_t high) {
  uint8_t differs = low ^ core.low;
  uint8_t taken = differs & core.low_differed;
  core.low_differed = differs ^ taken;
  core.low ^= taken;

  uint8_t high_differs = high ^ core.high;
  uint8_t high_taken = high_differs & core.high_differed;
  core.high_differed = high_differs ^ high_taken;
  core.high ^= high_taken;

  if (taken) inputs_changed(taken);
}

/* While walking: latches the place at the first tick at which an input of the mask has the level asked. */
static inline void seek_watch(void) {
  uint8_t hit = (core.low ^ core.seek_flip_low) & core.seek_mask_low;
  hit |= (core.high ^ core.seek_flip_high) & core.seek_mask_high;
  if (!hit || core.seek_latched) return;
  core.seek_latched = true;
  core.seek_place = core.at;
  core.target = 0;
  core.news = true;
}

#endif
