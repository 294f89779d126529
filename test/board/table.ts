/**
 * A pretended table: a board in this process, wires that lie where a pretended person was told to put them, a line with latency, and
 * time of its own. The person knows only what is shown to them, and reads pin names and ends of wires out of it.
 */
import { type InputPin, type PinBoard, readPins } from '../../firmware-host/controller/pin-table';
import { INPUT_BITS } from '../../firmware-host/stand/codes';
import { type Port, TICK_HZ } from '../wire/conformance/port';
import type { Bench } from './bench';

const SLICE_TICKS = 20;
/** Nobody waits longer, of the table's own time. */
const MOST_SECONDS = 1200;
const BITS: Readonly<Record<string, number>> = { ...INPUT_BITS, limits: 0xf0, turntableReference: 1 << 11 };

interface Parcel {
  due: number;
  bytes: Uint8Array;
}

export interface TableOptions {
  /** A freshly booted board, looked at from inside. */
  board: () => Port;
  pins: PinBoard['board'];
  /** One way; from the board and to it. */
  latencySeconds?: number;
  /** False: nothing resets the board but its button. */
  resets?: boolean;
  /** What the person types when told this; undefined where they wait. */
  answers(words: string, shownBefore: string): string | undefined;
  /** What becomes of the bytes of the board on their way. */
  spoil?: (bytes: Uint8Array) => Uint8Array;
}

export class Table implements Bench {
  shown = '';
  /** Set by tests: thrown at the next exchange. */
  trouble: Error | null = null;
  board: Port;
  private ticks = 0;
  private readonly ends = new Map<string, string>();
  private readonly lines: string[] = [];
  private toBoard: Parcel[] = [];
  private toHost: Parcel[] = [];
  private readonly pins: PinBoard;

  constructor(private readonly options: TableOptions) {
    this.pins = readPins().find(({ board }) => board === options.pins)!;
    this.board = options.board();
    this.touch();
  }

  exchange(bytes: Uint8Array, seconds: number): Uint8Array {
    const { latencySeconds = 0 } = this.options;
    const latency = Math.round(latencySeconds * TICK_HZ);
    if (bytes.length > 0) this.toBoard.push({ due: this.ticks + latency, bytes });
    for (const end = this.ticks + Math.ceil(seconds * TICK_HZ); this.ticks < end; ) {
      for (const parcel of due(this.toBoard, this.ticks)) this.board.write(parcel);
      const ticks = Math.min(SLICE_TICKS, end - this.ticks);
      const said = this.board.run(ticks);
      // A board whose edges nobody takes stands still when it can keep no more of them.
      this.board.pins!.edges();
      this.ticks += ticks;
      if (said.length > 0) this.toHost.push({ due: this.ticks + latency, bytes: this.options.spoil?.(said) ?? said });
      this.touch();
    }
    if (this.now() > MOST_SECONDS) throw new Error(`still at it after ${MOST_SECONDS} s: ${this.shown.slice(-600)}`);
    const { trouble } = this;
    this.trouble = null;
    if (trouble !== null) throw trouble;
    return Uint8Array.from(due(this.toHost, this.ticks).flatMap((parcel) => [...parcel]));
  }

  now(): number {
    return this.ticks / TICK_HZ;
  }

  reset(): boolean {
    if (this.options.resets === false) return false;
    this.reboot();
    return true;
  }

  tell(words: string): void {
    const before = this.shown;
    this.shown += words;
    for (const [, label, end] of words.matchAll(/^ +(\w+) \(\w+\) to (\w+)$/gm)) this.ends.set(label!, end!);
    for (const [, label, end] of words.matchAll(/> (\w+) \(\w+\): (?:put its wire|move its wire from \w+) to (\w+)/g))
      this.ends.set(label!, end!);
    for (const [, label] of words.matchAll(/> (\w+) \(\w+\): take its wire off/g)) this.ends.delete(label!);
    if (words.includes('> press the RESET button')) this.reboot();
    const answer = this.options.answers(words, before);
    if (answer !== undefined) this.lines.push(answer);
  }

  typed(): string | undefined {
    return this.lines.shift();
  }

  private reboot(): void {
    this.board = this.options.board();
    this.toBoard = [];
    this.toHost = [];
    this.touch();
  }

  /** Contacts as the wires have them. */
  private touch(): void {
    const { lowered, drivesOn } = this.board.pins!;
    const levels: Record<string, boolean> = { GND: false };
    for (const pin of this.pins.pins) {
      if (pin.kind !== 'output') continue;
      if (pin.signal === 'lower') levels[pin.label] = lowered() === (pin.on === 'high');
      if (pin.signal === 'enable') levels[pin.label] = drivesOn() === (pin.on === 'high');
    }
    let asserted = 0;
    let released = 0;
    for (const pin of this.pins.pins.filter((one): one is InputPin => one.kind === 'input')) {
      const end = this.ends.get(pin.label);
      const closed = end !== undefined && levels[end] === false;
      if (closed === (pin.asserted === 'closed')) asserted |= BITS[pin.signal]!;
      else released |= BITS[pin.signal]!;
    }
    this.board.hold(asserted, released);
  }
}

/** Takes out what has arrived by then. */
function due(parcels: Parcel[], ticks: number): Uint8Array[] {
  const arrived = parcels.filter((parcel) => parcel.due <= ticks);
  parcels.splice(0, arrived.length);
  return arrived.map(({ bytes }) => bytes);
}
