/**
 * Owns time: a virtual clock for the host's side and the stands it drives. Both go forward in small slices, so that what one
 * says the other hears within a slice, as over a line; the same inputs always give the same course of events.
 */
import { VirtualClock } from '../stand/clock';

/** Something with a time of its own that a simulation takes along. */
export interface Simulated {
  advance(seconds: number): void;
}

/** Longest time the host's side and a stand go without hearing of each other; comparable to a USB bridge's latency. */
const SLICE_SECONDS = 0.005;
/** Alarms that follow each other more closely than this share a slice. */
const MIN_SLICE_SECONDS = 0.0005;

export class Simulation {
  readonly clock = new VirtualClock();
  private readonly parts: Simulated[] = [];

  add(part: Simulated): void {
    this.parts.push(part);
  }

  /** Everything goes on by `seconds`. Slices end where an alarm of the clock is due. */
  advance(seconds: number): void {
    const end = this.clock.now() + seconds;
    while (this.clock.now() < end) {
      const from = this.clock.now();
      const to = Math.min(end, from + SLICE_SECONDS, Math.max(this.clock.nextDue(), from + MIN_SLICE_SECONDS));
      for (const part of this.parts) part.advance(to - from);
      this.clock.advanceTo(to);
    }
  }

  /** Goes on until `done` says so, asked after every slice; false when `limitSeconds` went by before. */
  advanceUntil(done: () => boolean, limitSeconds: number): boolean {
    const end = this.clock.now() + limitSeconds;
    while (!done()) {
      if (this.clock.now() >= end) return false;
      this.advance(Math.min(SLICE_SECONDS, end - this.clock.now()));
    }
    return true;
  }
}
