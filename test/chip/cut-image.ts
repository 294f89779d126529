/**
 * The cable of an emulated chip is cut in motion, in the middle of a byte or of a frame: it rests on the path before its queue ends, and
 * goes on to the exact end once the cable is back. The walk is random segments at up to 20,000 steps/s, with a planned rest at its end.
 */
import { expect } from 'vitest';
import { pinAddress } from '../../firmware-host/virtual/chip/avr-parts';
import { randomWalk } from '../support/segments';
import { type ChipBoard, ChipHost } from './chip-host';
import { placeOf } from './desk-host';
import { Seeded } from './seeded';

const SEGMENTS = 260;
const SILENT_MS = 200;
const RAMP_MS = 50;
/** Rest is seen in a report, which may be 40 ms late. */
const REST_LIMIT_TICKS = (SILENT_MS + RAMP_MS + 45) * 40;

export class CutWalk {
  readonly host: ChipHost;
  /** Signed steps of each axis since the walk's beginning. */
  steps: number[];
  /** Segments begun, by the store to the DIR pins that each fetch makes. */
  begun = 0;
  private readonly segments: number[][] = [];

  constructor(
    readonly board: ChipBoard,
    seed: number,
  ) {
    this.host = new ChipHost(board);
    const { chip } = this.host;
    const bytes = randomWalk(seed, SEGMENTS, chip.board.axes);
    for (let at = 0; at < bytes.length; at += 8) this.segments.push([...bytes.subarray(at, at + 8)]);
    this.steps = Array.from({ length: chip.board.axes }, () => 0);
    chip.onStep = (mask, ways) => {
      for (let axis = 0; axis < this.steps.length; axis++) {
        if ((mask >> axis) & 1) this.steps[axis]! += (ways >> axis) & 1 ? -1 : 1;
      }
    };
    this.host.ready(RAMP_MS, SILENT_MS);
    const direction = chip.board.pins.find((pin) => pin.signal === 'direction.turntable')!;
    chip.cpu.writeHooks[pinAddress(direction.port) + 2] = () => {
      this.begun++;
    };
    this.feed(4000);
    this.host.pace();
  }

  feed(ticks: number): void {
    if (this.host.status.silent) throw new Error('the host of the walk itself fell silent');
    this.host.feed((number) => this.segments[number], ticks);
  }

  get done(): boolean {
    return this.host.status.rests === 1;
  }

  /** One tick of the walk; the host goes on feeding. */
  tick(): void {
    if (this.host.status.silent) throw new Error('the host of the walk itself fell silent');
    this.host.beatIfDue();
    this.host.topUp((number) => this.segments[number]);
    this.host.chip.runTicks(1);
  }

  /** Cuts, waits for rest, looks; `goOn`: plugs in again and walks to the end. All of it in a copy. Returns ticks to rest. */
  cut(goOn: boolean): number {
    const { host } = this;
    const { chip, reader, seq, eases, sent, nextBeat } = host;
    const before = chip.snapshot();
    const steps = [...this.steps];
    const { begun } = this;
    Object.assign(host, { reader: reader.copy(), sent: [...sent] });
    chip.cutLine();
    const cutAt = chip.ticks;
    const { underruns } = host.status;
    let restAt = 0;
    while (restAt === 0) {
      if (chip.ticks - cutAt > REST_LIMIT_TICKS) throw new Error(`not at rest: ${JSON.stringify(host.status)}`);
      chip.runTicks(200);
      if (host.status.level === 0 && (host.status.silent || this.done)) restAt = chip.ticks;
    }
    const told = host.report();
    expect(told).toMatchObject({ level: 0, target: 0, drives: true, stop: 0, underruns });
    this.expectOnPath(told.place);
    if (goOn && !this.done) this.goOn();
    chip.restore(before);
    this.steps = steps;
    this.begun = begun;
    Object.assign(host, { reader, seq, eases, sent, nextBeat });
    return restAt - cutAt;
  }

  private expectOnPath(place: { begun: number; left: number }): void {
    expect(this.steps).toEqual(this.steps.map((_, axis) => placeOf(this.segments, place.begun, place.left, axis)));
  }

  /** A host that comes back knows from the report what was taken, and says the rest again. */
  private goOn(): void {
    const { host } = this;
    host.alive();
    host.chip.runTicks(2000);
    const { accepted, seq } = host.report();
    host.sent.length = accepted;
    host.seq = seq;
    this.feed(2000);
    host.pace();
    for (let tries = 0; !this.done; tries++) {
      if (tries > 200) throw new Error(`never at the end: ${JSON.stringify(host.status)}`);
      this.feed(800);
    }
    this.expectOnPath({ begun: this.segments.length, left: 0 });
  }
}

/** Cut in the tick that begins a segment, each or every so many. Returns a sentence of figures. */
export function cutAtBorders(board: ChipBoard, seed: number, every = 1): string {
  const walk = new CutWalk(board, seed);
  let cuts = 0;
  let slowest = 0;
  // The first is fetched at rest.
  for (let seen = 1; !walk.done; ) {
    walk.tick();
    if (walk.begun === seen) continue;
    expect(walk.begun).toBe(++seen);
    if (seen % every !== 0) continue;
    slowest = Math.max(slowest, walk.cut(cuts % 10 === 0));
    cuts++;
  }
  expect(cuts).toBe(Math.floor(walk.begun / every) - (every === 1 ? 1 : 0));
  return (
    `${board} board, cut at ${cuts} borders: at rest on the path after ${(slowest / 40).toFixed(0)} ms at most ` +
    `(silence ${SILENT_MS} ms, ramp ${RAMP_MS} ms), exact to the end from every tenth`
  );
}

/** Cut at random cycles of the walk, again and again from its beginning. */
export function cutAtRandom(board: ChipBoard, seed: number, wanted: number): string {
  const random = new Seeded(seed);
  let cuts = 0;
  let slowest = 0;
  for (let round = 0; cuts < wanted; round++) {
    const walk = new CutWalk(board, seed + round);
    while (!walk.done && cuts < wanted) {
      walk.feed(random.whole(20, 200));
      walk.host.chip.runCycles(random.whole(1, 400));
      if (walk.done) break;
      slowest = Math.max(slowest, walk.cut(cuts % 20 === 0));
      cuts++;
    }
  }
  return `${board} board, cut at ${cuts} random cycles: at rest on the path after ${(slowest / 40).toFixed(0)} ms at most`;
}
