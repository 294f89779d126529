/** A virtual stand, the link to it and the simulation that owns their time, ready for a test to push segments. */
import type { BytePipe } from '../../firmware-host/stand/byte-pipe';
import { SegmentLink } from '../../firmware-host/stand/segment-link';
import type { OpenOptions, StandStatus } from '../../firmware-host/stand/stand-link';
import { Simulation } from '../../firmware-host/virtual/simulation';
import { VirtualStand } from '../../firmware-host/virtual/virtual-stand';
import { demoStand } from './programs';

export const OPEN: OpenOptions = { rampMs: 500, hostSilentMs: 500, liftTimeoutMs: 3000, enableDelayMs: 250 };

export class Rig {
  readonly simulation = new Simulation();
  readonly stand = new VirtualStand({
    stand: demoStand,
    start: { turntableTurns: 0.25, lapTurns: 0.5, strokeMm: 0, radialMm: 90 },
    bootId: 0x0b00,
  });
  readonly link: SegmentLink;
  readonly refusals: string[] = [];
  readonly losses: string[] = [];
  private last: StandStatus | undefined;
  private hostLives = true;

  /** `through` may put something between the stand's line and the link. */
  constructor(through: (pipe: BytePipe, rig: Rig) => BytePipe = (pipe) => pipe) {
    this.simulation.add(this.stand);
    this.link = new SegmentLink({
      clock: this.simulation.clock,
      linkId: 100,
      words: this.stand.words,
      virtual: this.stand.virtual,
    });
    this.link.attach(through(this.stand.pipe, this));
    this.link.onStatus((status) => {
      this.last = status;
    });
    this.link.onRefused((words) => this.refusals.push(words));
    this.link.onLost((words) => this.losses.push(words));
    this.live();
  }

  get status(): StandStatus {
    if (this.last === undefined) throw new Error('the stand has told nothing yet');
    return this.last;
  }

  /** The application hangs: nothing moves its counter any more. */
  hang(hangs: boolean): void {
    this.hostLives = !hangs;
  }

  /** Time goes on until the promise is settled. */
  async settle<T>(promise: Promise<T>, limitSeconds = 10): Promise<T> {
    let settled = false;
    const mark = (): void => {
      settled = true;
    };
    promise.then(mark, mark);
    const end = this.simulation.clock.now() + limitSeconds;
    for (await null; !settled; await null) {
      if (this.simulation.clock.now() > end) throw new Error(`not settled within ${limitSeconds} s`);
      this.simulation.advance(0.005);
    }
    return promise;
  }

  advance(seconds: number): void {
    this.simulation.advance(seconds);
  }

  until(what: string, done: (status: StandStatus) => boolean, limitSeconds = 20): StandStatus {
    const reached = this.simulation.advanceUntil(() => this.last !== undefined && done(this.last), limitSeconds);
    if (!reached)
      throw new Error(`${what}: not reached within ${limitSeconds} s; the stand tells ${JSON.stringify(this.last)}`);
    return this.status;
  }

  /** Link open, drives on and ready, numbers at 0. */
  async ready(options: OpenOptions = OPEN): Promise<void> {
    await this.settle(this.link.open(options));
    this.link.drives(true);
    this.until('drives ready', (status) => status.drivesReady && status.lift === 'up');
    await this.settle(this.link.flush());
  }

  /** Feeds the segments as there is room, at full pace, and goes on until the planned rest at the end of the last. */
  walk(segments: Uint8Array, limitSeconds = 60): void {
    let sent = 0;
    const feed = (): void => {
      const room = this.link.room() * 8;
      if (room === 0 || sent === segments.length) return;
      const batch = segments.subarray(sent, sent + room);
      this.link.push(batch);
      sent += batch.length;
    };
    const stop = this.link.onStatus(feed);
    feed();
    this.link.pace(1);
    const last = segments.length / 8 - 1;
    this.until('end of the walk', ({ atPlannedRest, place }) => atPlannedRest && place.segment === last, limitSeconds);
    stop();
  }

  private live(): void {
    if (this.hostLives) this.link.alive();
    this.simulation.clock.after(0.05, () => this.live());
  }
}

/** One segment as its eight bytes; negative steps set the direction bit. */
export function segment(ticks: number, steps: readonly number[], rest = false): Uint8Array {
  const bytes = new Uint8Array(8);
  bytes[0] = ticks;
  bytes[1] = rest ? 1 : 0;
  steps.forEach((count, axis) => {
    if (count < 0) bytes[2]! |= 1 << axis;
    bytes[3 + axis] = Math.abs(count);
  });
  return bytes;
}

/** A dwell that ends in a planned rest: what a walk must end with, or it is left a tick short of its end by the easing law. */
export const REST = segment(20, [], true);

export function concat(parts: readonly Uint8Array[]): Uint8Array {
  const all = new Uint8Array(parts.reduce((length, part) => length + part.length, 0));
  let at = 0;
  for (const part of parts) {
    all.set(part, at);
    at += part.length;
  }
  return all;
}
