#include "easing.h"

#include "core.h"

/* S(k) = 32768 (3 x^2 - 2 x^3), x = k/64, rounded. */
static const uint16_t rate_of_level[LEVEL_FULL + 1] PORT_TABLE = {
    0, 24, 94, 209, 368, 569, 810, 1090, 1408, 1762, 2150, 2571, 3024,
    3507, 4018, 4556, 5120, 5708, 6318, 6949, 7600, 8269, 8954, 9654, 10368, 11094,
    11830, 12575, 13328, 14087, 14850, 15616, 16384, 17152, 17918, 18681, 19440, 20193, 20938,
    21674, 22400, 23114, 23814, 24499, 25168, 25819, 26450, 27060, 27648, 28212, 28750, 29261,
    29744, 30197, 30618, 31006, 31360, 31678, 31958, 32199, 32400, 32559, 32674, 32744, 32768,
};

uint16_t easing_prepare(uint16_t ramp_ms) {
  uint16_t interval = (uint16_t)((uint16_t)(TICKS_PER_MS * ramp_ms) + LEVEL_FULL / 2) / LEVEL_FULL;
  uint16_t reach = 0;
  for (uint8_t k = 0; k <= LEVEL_FULL; k++) {
    if (k >= LEVEL_SLOWEST) {
      /* One interval may last a tick longer (an update waits for a fetch); a started path tick counts whole. */
      uint32_t product = (uint32_t)(interval + 1u) * port_table(&rate_of_level[k]);
      reach += (uint16_t)((product + (RATE_FULL - 1u)) / RATE_FULL);
    }
    core.reach[k] = k >= LEVEL_SLOWEST ? reach + 1 : 0; /* one to spare: in motion the queue is never empty */
  }
  return interval;
}

void easing_update(void) {
  uint8_t level = core.level;
  uint8_t target = core.target;
  if (level == 0 && target == 0) return;
  uint16_t left = core.ticks_pushed - core.ticks_fetched + core.at.ticks_left;
  bool free_of_bound = core.rests_pushed != core.rests_reached;
  uint8_t down = level > LEVEL_SLOWEST ? level - 1 : 0;
  uint8_t next;
  if (level > target) {
    next = down;
  } else if (level == target) {
    next = level;
    if (!free_of_bound && core.reach[level] > left) {
      next = down;
      core.droops++;
    }
  } else {
    uint8_t up = level == 0 ? LEVEL_SLOWEST : level + 1;
    uint16_t needed = level == 0 ? core.reach[LEVEL_RESTART] : core.reach[up];
    if (free_of_bound || needed <= left) {
      next = up;
    } else {
      next = core.reach[level] <= left ? level : down;
      core.droops++;
    }
  }
  if (next == level) return;
  if (next == 0 && target != 0) core.underruns++;
  core.level = next;
  core.rate = port_table(&rate_of_level[next]);
}
