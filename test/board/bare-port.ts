/** A board on a table as a port of the conformance suite: bytes over a bench, contacts by a person's hands, outputs unseen. */
import type { PinBoard } from '../../firmware-host/controller/pin-table';
import { concat } from '../support/segments';
import { type Port, TICK_HZ } from '../wire/conformance/port';
import { type Bench, LeftOut, NO } from './bench';
import { Wires } from './wires';

/** Code of the virtual board, and its inputs: all but the spare reference. */
const VIRTUAL = 3;
const VIRTUAL_INPUTS = 0x17ff;
const SYSEX_START = 0xf0;
const VERSION_REPORT = 0xf9;
const LOOK_SECONDS = 0.05;
const NOTHING = new Uint8Array();

/** What a board looks like to the suite. */
export interface BareBoard {
  /** `board` of SPEC 4. */
  code: number;
  axes: number;
  limitsInSeries: boolean;
  /** Bits of SPEC 6 that it has. */
  inputs: number;
  pins: PinBoard;
}

export class BarePort implements Port {
  readonly bare = true;
  readonly pins = null;
  readonly board: number;
  readonly axes: number;
  readonly inputs: number;
  readonly limitsInSeries: boolean;
  latencyTicks = 0;
  /** What the case under way has noted. */
  readonly measured: string[] = [];
  readonly unseen = new Set<string>();
  /** Contacts that were not as asked when a report last told of them, in words. */
  wrong: readonly string[] = [];
  private unsent: number[] = [];
  private kept: Uint8Array = NOTHING;
  /** False: what comes may be the end of a message whose beginning nobody heard. */
  private aligned = false;
  private handsAt: readonly string[] = [];

  constructor(
    readonly bench: Bench,
    board: BareBoard,
    readonly wires: Wires,
  ) {
    this.board = board.code;
    this.axes = board.axes;
    this.inputs = board.inputs;
    this.limitsInSeries = board.limitsInSeries;
  }

  get echo(): { enable: number; notLowered: number } {
    const { enable, notLowered } = this.wires.echo;
    return { enable: enable & this.inputs, notLowered: notLowered & this.inputs };
  }

  now(): number {
    return Math.round(this.bench.now() * TICK_HZ);
  }

  write(bytes: Uint8Array): void {
    for (const byte of bytes) this.unsent.push(byte);
  }

  /** While a person's hands are waited for, "no" leaves the step out. */
  run(ticks: number): Uint8Array {
    const came = this.bench.exchange(Uint8Array.from(this.unsent.splice(0)), ticks / TICK_HZ);
    const bytes = this.align(this.kept.length === 0 ? came : concat([this.kept, came]));
    this.kept = NOTHING;
    if (this.handsAt.length > 0) this.takeLine();
    return bytes;
  }

  /** A line that was typed, if any. Throws LeftOut where it says so. */
  takeLine(): string | undefined {
    const line = this.bench.typed();
    if (line?.trim().toLowerCase() === NO) throw new LeftOut();
    return line;
  }

  listen(): void {
    this.aligned = false;
  }

  /** Lets a little time go by; true once the first word of a boot was heard, which then stays for whoever listens next. */
  hearsBoot(): boolean {
    const bytes = this.bench.exchange(NOTHING, LOOK_SECONDS);
    const start = bytes.indexOf(VERSION_REPORT);
    if (start >= 0) this.kept = bytes.subarray(start);
    return start >= 0;
  }

  hold(asserted: number, released: number): void {
    this.handsAt = this.wires.hold(asserted, released);
    for (const line of this.handsAt) this.bench.tell(`    > ${line}\n`);
  }

  settled(inputs: number): boolean {
    this.wrong = this.wires.wrong(inputs & this.inputs);
    if (this.wrong.length === 0) this.handsAt = [];
    return this.wrong.length === 0;
  }

  note(kind: 'measured' | 'unseen', words: string): void {
    if (kind === 'measured') this.measured.push(words);
    else this.unseen.add(words);
  }

  /** A step begins: nothing of the one before counts any more. */
  forget(): void {
    this.unsent = [];
    this.kept = NOTHING;
    this.handsAt = [];
    this.wrong = [];
    this.measured.length = 0;
    this.unseen.clear();
  }

  /** No message of ours or of Firmata has these two inside it, so the first of them is a beginning. */
  private align(bytes: Uint8Array): Uint8Array {
    if (this.aligned) return bytes;
    const start = bytes.findIndex((byte) => byte === SYSEX_START || byte === VERSION_REPORT);
    if (start < 0) return NOTHING;
    this.aligned = true;
    return bytes.subarray(start);
  }
}

/** A board by its code; the virtual board is wired as the reference one. Undefined for a code nobody knows. */
export function bareBoard(code: number, boards: readonly PinBoard[]): BareBoard | undefined {
  const isVirtual = code === VIRTUAL;
  const pins = boards.find((one) => (isVirtual ? one.board === 'reference' : one.code === code));
  if (pins === undefined) return undefined;
  const limitsInSeries = pins.pins.some(({ signal }) => signal === 'limits');
  const inputs = isVirtual ? VIRTUAL_INPUTS : new Wires(pins).inputs;
  return { code, axes: pins.axes, limitsInSeries, inputs, pins };
}
