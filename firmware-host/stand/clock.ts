/** The host's time. Everything that waits takes its clock as an argument, so a simulation can own time and no test sleeps. */
export interface HostClock {
  /** Seconds since some moment of the clock's own. */
  now(): number;
  /** Calls `act` once, `seconds` from now; the returned function calls it off. */
  after(seconds: number, act: () => void): () => void;
}

export class RealClock implements HostClock {
  now(): number {
    return performance.now() / 1000;
  }

  after(seconds: number, act: () => void): () => void {
    const timer = setTimeout(act, seconds * 1000);
    return () => clearTimeout(timer);
  }
}

interface Alarm {
  due: number;
  act: () => void;
}

/** Time that stands still until someone advances it; alarms fire in order of their time, equal ones in order of their setting. */
export class VirtualClock implements HostClock {
  private seconds = 0;
  /** Ascending by `due`. Only a handful are ever set, so a plain sorted list serves. */
  private readonly alarms: Alarm[] = [];

  now(): number {
    return this.seconds;
  }

  after(seconds: number, act: () => void): () => void {
    const alarm = { due: this.seconds + Math.max(0, seconds), act };
    let at = this.alarms.length;
    while (at > 0 && this.alarms[at - 1]!.due > alarm.due) at--;
    this.alarms.splice(at, 0, alarm);
    return () => {
      const place = this.alarms.indexOf(alarm);
      if (place >= 0) this.alarms.splice(place, 1);
    };
  }

  /** When the next alarm is due; Infinity where none is set. */
  nextDue(): number {
    return this.alarms[0]?.due ?? Number.POSITIVE_INFINITY;
  }

  /** Moves to `seconds` (never back) and fires what falls due on the way, each at its own time. */
  advanceTo(seconds: number): void {
    for (let next = this.alarms[0]; next !== undefined && next.due <= seconds; next = this.alarms[0]) {
      this.alarms.shift();
      this.seconds = Math.max(this.seconds, next.due);
      next.act();
    }
    this.seconds = Math.max(this.seconds, seconds);
  }
}
