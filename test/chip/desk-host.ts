/** A host for the virtual board, small enough to be trusted at sight: it sends what it is told and keeps what comes back. */
import { VirtualBoard } from '../../firmware-host/controller/wasm/load';
import { type Frame, frame, Reader, type Status, status, word } from './frames';

export const TYPE = {
  open: 0x01,
  heartbeat: 0x02,
  ease: 0x03,
  segments: 0x10,
  pace: 0x11,
  drives: 0x12,
  lift: 0x13,
  seek: 0x14,
  flush: 0x15,
  clear: 0x16,
  opened: 0x41,
  status: 0x42,
  refused: 0x43,
  flushed: 0x44,
} as const;

export const INPUT = {
  halt: 0x0001,
  guard: 0x0002,
  fault: 0x0004,
  index: 0x0008,
  strokeLow: 0x0010,
  radialHigh: 0x0080,
  lapTurnReference: 0x0100,
  liftUp: 0x0200,
  liftDown: 0x0400,
} as const;

export interface Times {
  rampMs?: number;
  silentMs?: number;
  liftMs?: number;
  enableMs?: number;
}

export interface Refusal {
  type: number;
  reason: number;
  detail: number;
}

export class DeskHost {
  readonly board = new VirtualBoard();
  readonly reader = new Reader();
  readonly link = 0x1234;
  seq = 0;
  eases = 0;
  private beat = 1;

  constructor(prepare?: (board: VirtualBoard) => void) {
    prepare?.(this.board);
    this.board.boot(77);
    this.ms(5);
  }

  /** Opens a link and switches the drives on. */
  ready(times: Times = {}): this {
    this.open(times);
    this.send(TYPE.drives, [1]);
    this.ms(5 + (times.enableMs ?? 0));
    return this;
  }

  open({ rampMs = 500, silentMs = 60_000, liftMs = 3000, enableMs = 0 }: Times = {}): void {
    this.board.write(frame(TYPE.open, 0, 0, [this.link, rampMs, silentMs, liftMs, enableMs].flatMap(word)));
    this.seq = 0;
    this.eases = 0;
    this.ms(5);
  }

  send(type: number, body: readonly number[] = []): void {
    this.board.write(frame(type, this.link, this.seq++, body));
  }

  /** Sends, lets it arrive, and returns the refusal if there was one. */
  ask(type: number, body: readonly number[] = []): Refusal | null {
    const before = this.reader.frames.length;
    this.send(type, body);
    this.ms(8);
    const refused = this.reader.frames.slice(before).find((one) => one.type === TYPE.refused);
    return refused ? { type: refused.body[1]!, reason: refused.body[2]!, detail: refused.body[3]! } : null;
  }

  pace(target: number): Refusal | null {
    return this.ask(TYPE.pace, [target, this.status.rests, this.eases]);
  }

  ease(): void {
    this.eases = (this.eases + 1) & 0xff;
    this.board.write(frame(TYPE.ease, this.link, 0, [this.eases]));
    this.ms(2);
  }

  alive(): void {
    this.board.write(frame(TYPE.heartbeat, this.link, 0, word(this.beat++)));
  }

  /** Pushes segments, at most seven to a frame, as fast as the line takes them. */
  push(segments: readonly (readonly number[])[]): void {
    for (let at = 0; at < segments.length; at += 7) {
      this.send(TYPE.segments, segments.slice(at, at + 7).flat());
      this.ms(4);
    }
  }

  ms(milliseconds: number): void {
    this.ticks(milliseconds * 40);
  }

  ticks(ticks: number): void {
    this.board.run(ticks);
    this.reader.take(this.board.read());
  }

  /** Runs until the pace level is 0, at most so many milliseconds; then lets a status come. */
  untilRest(limitMs = 5000): void {
    for (let ms = 0; ms < limitMs && this.board.raw.core_level() !== 0; ms++) this.ms(1);
    this.ms(50);
  }

  get status(): Status {
    return status(this.last(TYPE.status));
  }

  last(type: number): Frame {
    const found = this.reader.frames.findLast((one) => one.type === type);
    if (!found) throw new Error(`no frame of type ${type} came`);
    return found;
  }

  positions(): number[] {
    return [0, 1, 2, 3, 4].map((axis) => this.board.position(axis));
  }
}

/** Where the segments put an axis when so many have begun and so many ticks of the last are left (the formula of SPEC 2). */
export function placeOf(segments: readonly (readonly number[])[], begun: number, left: number, axis: number): number {
  let steps = 0;
  for (let number = 0; number < begun; number++) {
    const segment = segments[number]!;
    const ticks = segment[0]!;
    const walked = number === begun - 1 ? ticks - left : ticks;
    const made = Math.floor((Math.floor(ticks / 2) + segment[3 + axis]! * walked) / ticks);
    steps += (segment[2]! >> axis) & 1 ? -made : made;
  }
  return steps;
}
