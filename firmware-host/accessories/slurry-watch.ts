/** When the next dose of slurry is due, counted in strokes, turns or seconds of running. */
import type { SlurryRule } from '../../planner/stand/accessories';
import { formatDuration } from '../../planner/units/format';

/** How far a run is. */
export interface Progress {
  strokes: number;
  turns: number;
  /** Seconds of the stand's time in which it walked. */
  seconds: number;
}

export class SlurryWatch {
  private dosedAt: number | null = null;

  constructor(private readonly every: SlurryRule['every']) {}

  /** A dose was given. At the start of a run the glass is wet. */
  dosed(progress: Progress): void {
    this.dosedAt = progress[this.every.unit];
  }

  isDue(progress: Progress): boolean {
    return this.left(progress) <= 0;
  }

  words(progress: Progress): string {
    const left = this.left(progress);
    if (left <= 0) return 'due';
    if (this.every.unit === 'seconds') return `due in ${formatDuration(left)}`;
    const whole = Math.ceil(left);
    return `due in ${whole} ${whole === 1 ? this.every.unit.slice(0, -1) : this.every.unit}`;
  }

  /** Until the next dose, in the rule's unit. A run that began anew counts from there. */
  private left(progress: Progress): number {
    const now = progress[this.every.unit];
    if (this.dosedAt === null || now < this.dosedAt) this.dosedAt = now;
    return this.every.count - (now - this.dosedAt);
  }
}
