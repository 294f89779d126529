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
  private stopFeeding = (): void => {};

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

  /** The application hangs: nothing moves its counter any more and nothing feeds. */
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

  /** Feeds the segments as there is room, whenever the stand tells of itself, unless the host hangs. Does not start the walk. */
  feed(segments: Uint8Array): void {
    let sent = 0;
    const more = (): void => {
      const batch = segments.subarray(sent, sent + (this.hostLives ? this.link.room() * 8 : 0));
      if (batch.length === 0) return;
      this.link.push(batch);
      sent += batch.length;
    };
    this.stopFeeding();
    this.stopFeeding = this.link.onStatus(more);
    more();
  }

  /** Feeds and walks the segments at full pace, and goes on until the planned rest at the end of the last. */
  walk(segments: Uint8Array, limitSeconds = 60): void {
    this.feed(segments);
    this.link.pace(1);
    this.untilEnd(segments, limitSeconds);
  }

  untilEnd(segments: Uint8Array, limitSeconds = 60): void {
    const last = segments.length / 8 - 1;
    this.until('end of the walk', ({ atPlannedRest, place }) => atPlannedRest && place.segment === last, limitSeconds);
  }

  private live(): void {
    if (this.hostLives) this.link.alive();
    this.simulation.clock.after(0.05, () => this.live());
  }
}
