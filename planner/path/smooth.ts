/** The two quintics that everything on the path is blended with. */

/** Smooth step from 0 to 1 with first and second derivative 0 at both ends: 10 s^3 - 15 s^4 + 6 s^5. */
export function smoothStep(s: number): number {
  return s <= 0 ? 0 : s >= 1 ? 1 : s * s * s * (10 + s * (6 * s - 15));
}

/** d/ds of `smoothStep`; 1.875 at most, at s = 1/2. */
export function smoothStepSlope(s: number): number {
  return s <= 0 || s >= 1 ? 0 : 30 * s * s * (1 - s) * (1 - s);
}

/** d2/ds2 of `smoothStep`. */
export function smoothStepBend(s: number): number {
  return s <= 0 || s >= 1 ? 0 : 60 * s * (1 - s) * (1 - 2 * s);
}

/**
 * Rate blend p(s) = s (1 - s)^3 (1 + 3 s): value 0, slope 1, bend 0 at s = 0, all three 0 at s = 1 (quintic Hermite). Added to an
 * angle that runs at the new rate, it starts at the old rate and leaves the total unchanged. Its slope falls to -0.512 (at s = 0.6):
 * that is how far the rate overshoots, as a share of its change.
 */
export function rateBlend(s: number): number {
  const t = 1 - s;
  return s >= 1 ? 0 : s * t * t * t * (1 + 3 * s);
}

/** d/ds of `rateBlend`. */
export function rateBlendSlope(s: number): number {
  const t = 1 - s;
  return s >= 1 ? 0 : t * t * (1 - 3 * s) * (1 + 5 * s);
}

/** d2/ds2 of `rateBlend`. */
export function rateBlendBend(s: number): number {
  return s >= 1 ? 0 : -12 * s * (1 - s) * (3 - 5 * s);
}

export const RATE_BLEND_MIN_SLOPE = -0.512;
