/**
 * Notices that the computer slept. A sleeping computer runs no timers and sends no heartbeat; the wall clock goes on. The clock that
 * measures the host's waits stands still meanwhile on some systems (Linux) and goes on on others (Windows), so both are looked at:
 * a wall clock that ran ahead of it, or a look that came far too late. Neither is proof by itself (somebody may have set the wall
 * clock), so it is only said where the stand shows that it missed its host.
 */

/** More than any look is late on a machine at work. */
const LATE_SECONDS = 1.5;
/** Nobody's program is busy for so long without a look. */
const SURELY_ASLEEP_SECONDS = 20;
/** The stand's reports of what it did meanwhile, and the loss of a port, come within this time after waking. */
const RECENT_SECONDS = 5;

export interface Silence {
  seconds: number;
  /** False: it may as well have been too busy. */
  slept: boolean;
}

export class SleepWatch {
  private lastSeconds: number;
  private lastWallMs: number;
  private noticed: (Silence & { at: number }) | null = null;

  /** `now`: seconds of the host's clock; `wallMs`: milliseconds since 1970. */
  constructor(
    private readonly now: () => number,
    private readonly wallMs: () => number,
  ) {
    this.lastSeconds = now();
    this.lastWallMs = wallMs();
  }

  /** To be called with each heartbeat and each report. */
  look(): void {
    const at = this.now();
    const wallMs = this.wallMs();
    const gap = at - this.lastSeconds;
    const wallGap = (wallMs - this.lastWallMs) / 1000;
    this.lastSeconds = at;
    this.lastWallMs = wallMs;
    const ahead = wallGap - gap;
    if (gap < LATE_SECONDS && ahead < LATE_SECONDS) return;
    this.noticed = {
      at,
      seconds: Math.max(gap, wallGap),
      slept: ahead >= LATE_SECONDS || gap >= SURELY_ASLEEP_SECONDS,
    };
  }

  /** The silence that the computer is just coming out of. */
  get silence(): Silence | null {
    const { noticed } = this;
    return noticed !== null && this.now() - noticed.at <= RECENT_SECONDS ? noticed : null;
  }
}
