/** Random segments that keep the rules of SPEC 1. */
import type { Seeded } from './seeded';

export const RING_SIZE = 128;
export const FLAG_REST = 1;

export class SegmentSource {
  private directions = 0;
  private slow = true;
  private speeds: number[];

  constructor(
    private readonly random: Seeded,
    private readonly axes: number,
  ) {
    this.speeds = Array.from({ length: axes }, () => random.next() * 0.5);
  }

  /** After an open or flush no segment is before the next. */
  restart(): void {
    this.slow = true;
  }

  /** One segment of eight bytes; with `rest` a slow one that ends in a planned rest. */
  next(rest = false): number[] {
    const { random } = this;
    const ticks = random.whole(20, 255);
    // Directions may change when this segment and the one before are slow; then both keep below a quarter step a tick.
    const turning = rest || random.chance(0.2);
    const cap = rest ? 1 / 16 : turning || (this.slow && random.chance(0.5)) ? 1 / 4 : 1 / 2;
    if (turning && this.slow) this.directions = random.whole(0, 2 ** this.axes - 1);
    this.speeds = this.speeds.map((speed) => Math.min(0.5, Math.max(0, speed + (random.next() - 0.5) * 0.2)));
    const steps = this.speeds.map((speed) => Math.floor(Math.min(speed, cap) * ticks));
    this.slow = cap <= 1 / 4;
    while (steps.length < 5) steps.push(0);
    return [ticks, rest ? FLAG_REST : 0, this.directions, ...steps];
  }
}
