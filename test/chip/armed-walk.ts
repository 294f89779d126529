/** A walk of an image, or of the core, with its steps counted; copies can be taken, and what befalls a copy leaves the walk itself alone. */
import { expect } from 'vitest';
import type { ChipHost } from './chip-host';
import { INPUT, placeOf, TYPE } from './desk-host';
import type { Status } from './frames';
import { Seeded } from './seeded';
import { SegmentSource } from './segments';

export const RAMP_MS = 50;
/** The ramp, and a report that may be 40 ms late. */
const REST_LIMIT_TICKS = (RAMP_MS + 50) * 40;

/** What a controller answered to a sequenced frame; null: it was taken. */
export type Answer = { reason: number } | null;

export class ArmedWalk {
  readonly random: Seeded;
  /** Signed steps of each axis since the walk's beginning. */
  steps: number[];
  /** Rising edges of all axes. */
  edges = 0;

  /** The next segment. */
  readonly next: () => number[];

  /** Lap down and at full pace when it returns. */
  constructor(
    readonly host: ChipHost,
    seed: number,
    segments: (host: ChipHost, random: Seeded) => () => number[],
  ) {
    this.random = new Seeded(seed);
    this.next = segments(host, this.random);
    this.steps = this.zeros();
    host.chip.onStep = (mask, ways) => this.count(mask, ways);
    host.ready(RAMP_MS);
    this.lowerAndWalk();
  }

  lowerAndWalk(): void {
    const { host } = this;
    host.send(TYPE.lift, [0]);
    host.chip.runTicks(800);
    host.chip.setInputs(INPUT.liftDown);
    host.walk(this.next);
  }

  feed(ticks: number): void {
    this.host.feed(this.next, ticks);
  }

  /** Goes on to a random moment, any cycle of it. */
  toNextMoment(): void {
    this.feed(this.random.whole(1, 400));
    this.host.chip.runCycles(this.random.whole(1, 400));
  }

  /** Tries a fate in a copy: afterwards host and chip are where they were. */
  aside(act: () => void): void {
    const { host } = this;
    const { reader, seq, eases, sent, nextBeat } = host;
    const before = { chip: host.chip.snapshot(), steps: this.steps, edges: this.edges };
    Object.assign(host, { reader: reader.copy(), sent: [...sent] });
    this.steps = [...this.steps];
    act();
    host.chip.restore(before.chip);
    Object.assign(host, { reader, seq, eases, sent, nextBeat });
    this.steps = before.steps;
    this.edges = before.edges;
  }

  /** Runs until the chip tells a level of 0; throws where that takes longer than ramp and report. */
  untilRest(limitTicks = REST_LIMIT_TICKS): Status {
    const { host } = this;
    const began = host.chip.ticks;
    while (host.status.level !== 0 || host.status.target !== 0) {
      if (host.chip.ticks - began > limitTicks) throw new Error(`not at rest: ${JSON.stringify(host.status)}`);
      host.chip.runTicks(40);
    }
    return host.report();
  }

  /** Every axis has made the steps that the segments say, up to the place told. */
  expectOnPath({ place }: Status): void {
    const { sent } = this.host;
    // Numbers on the wire are modulo 65,536.
    const begun = sent.length - ((sent.length - place.begun) & 0xffff);
    expect(this.steps).toEqual(this.steps.map((_, axis) => placeOf(sent, begun, place.left, axis)));
  }

  /** Sends a sequenced frame and waits for what is answered. */
  ask(type: number, body: readonly number[]): Answer {
    const { host } = this;
    const { length } = host.reader.frames;
    const seq = host.seq;
    host.send(type, body);
    host.chip.runTicks(800);
    expect(host.status.seq).toBe(host.seq);
    const refused = host.reader.frames.slice(length).find((one) => one.type === TYPE.refused && one.body[0] === seq);
    return refused ? { reason: refused.body[2]! } : null;
  }

  /** A new link: numbers begin anew, and so do the steps counted. */
  open(): void {
    this.host.open(RAMP_MS);
    this.steps = this.zeros();
  }

  private zeros(): number[] {
    return Array.from({ length: this.host.chip.board.axes }, () => 0);
  }

  private count(mask: number, ways: number): void {
    for (let axis = 0; axis < this.steps.length; axis++) {
      if (((mask >> axis) & 1) === 0) continue;
      this.steps[axis]! += (ways >> axis) & 1 ? -1 : 1;
      this.edges++;
    }
  }
}

/** All axes of the board at half the tick rate, with a border each millisecond. */
export const fullRate = (host: ChipHost, random: Seeded) => (): number[] => host.fastest(2 * random.whole(12, 24));

/** Segments of any speed and either direction. Not for walks of which copies are taken: the source is not put back with them. */
export function anySegments(host: ChipHost, random: Seeded): () => number[] {
  const source = new SegmentSource(random, host.chip.board.axes);
  return () => source.next();
}
