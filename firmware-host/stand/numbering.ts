/**
 * Counters of the wire made whole: the controller counts segments in 16 bits, the host on from 0 without end.
 */
import type { StreamPlace } from './stand-link';

const WRAP = 0x10000;

/** The counter that continues `before` and reads `raw` modulo 65536; a counter only ever grows. */
export function widen(before: number, raw: number): number {
  return before + ((raw - before) & (WRAP - 1));
}

/** The whole number nearest to `near` that reads `raw` modulo 65536. */
export function widenNear(near: number, raw: number): number {
  const forward = (raw - near) & (WRAP - 1);
  return near + (forward < WRAP / 2 ? forward : forward - WRAP);
}

/**
 * A place the controller latched (at an index edge, a seek, a stop). It stays in every report until another takes its turn,
 * also across a flush, when numbers start anew and the old ones mean nothing: `restart` hides it until the latch fires again.
 */
export class LatchedPlace {
  private firing: number | false = false;
  private place: StreamPlace | null = null;

  /** `firing` is false while nothing is latched; any change of it means the latch fired again. `begunNow` is the count of now. */
  update(firing: number | false, begun: number, ticksLeft: number, begunNow: number): StreamPlace | null {
    if (firing !== this.firing) {
      this.firing = firing;
      this.place = firing === false ? null : { segment: widenNear(begunNow, begun) - 1, ticksLeft };
    }
    return this.place;
  }

  restart(): void {
    this.place = null;
  }
}
