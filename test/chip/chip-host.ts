/** A host on the line of an emulated chip: keeps its ring full, its heart beating, and what comes back. */
import { AvrChip } from '../../firmware-host/virtual/chip/avr-chip';
import { INPUT, TYPE } from './desk-host';
import { frame, Reader, type Status, status, word } from './frames';

export type ChipBoard = 'reference' | 'small';
export const CHIP_BOARDS: readonly ChipBoard[] = ['reference', 'small'];
/** What silicon adds to an interrupt beside avr8js 0.21.1, cycles: 3 on the ATmega2560, 2 on the ATmega328P. */
export const SILICON: Record<ChipBoard, number> = { reference: 3, small: 2 };
export const LINK = 0x321;

const SEGMENTS_IN_FRAME = 7;
const UNSENT_MOST = 80;
const UNACKNOWLEDGED_MOST = 16;
const BEAT_TICKS = 4000;

/** The next segment to send, undefined where there is none. */
export type Next = (number: number) => readonly number[] | undefined;

export class ChipHost {
  readonly chip: AvrChip;
  reader = new Reader();
  /** Cycles of the longest tick, interrupt and RETI included. */
  worst = 0;
  /** Every segment sent since the last open or flush. */
  sent: number[][] = [];
  seq = 0;
  eases = 0;
  /** Tick of the next heartbeat. */
  nextBeat = 0;
  private cycles = 0;
  private counted = 0;
  private beat = 1;

  constructor(board: ChipBoard, chip = new AvrChip(board)) {
    this.chip = chip;
    chip.onByte = (byte) => this.reader.take([byte]);
    chip.setInputs(INPUT.liftUp);
    chip.onTick = (cycles) => {
      this.worst = Math.max(this.worst, cycles);
      this.cycles += cycles;
      this.counted++;
    };
    chip.runTicks(4000);
  }

  get status(): Status {
    return status(this.reader.frames.findLast(({ type }) => type === TYPE.status)!);
  }

  /** A report of now. */
  report(): Status {
    const { length } = this.reader.frames;
    while (this.reader.frames.slice(length).filter(({ type }) => type === TYPE.status).length < 2)
      this.chip.runTicks(40);
    return this.status;
  }

  /** Mean cycles of a tick since the last call. */
  meanTick(): number {
    const mean = this.cycles / this.counted;
    this.cycles = 0;
    this.counted = 0;
    return mean;
  }

  send(type: number, body: readonly number[]): void {
    this.chip.write(frame(type, LINK, this.seq, body));
    this.seq = (this.seq + 1) & 0xff;
  }

  open(rampMs: number, silentMs = 5000): void {
    this.chip.write(frame(TYPE.open, 0, 0, [LINK, rampMs, silentMs, 3000, 1].flatMap(word)));
    this.seq = 0;
    this.eases = 0;
    this.sent = [];
    this.chip.runTicks(1600);
  }

  ready(rampMs: number, silentMs?: number): void {
    this.open(rampMs, silentMs);
    this.send(TYPE.drives, [1]);
    this.chip.runTicks(800);
  }

  ease(): void {
    this.eases = (this.eases + 1) & 0xff;
    this.chip.write(frame(TYPE.ease, LINK, 0, [this.eases]));
  }

  alive(): void {
    this.chip.write(frame(TYPE.heartbeat, LINK, 0, word(this.beat)));
    this.beat = (this.beat + 1) & 0xffff;
  }

  /** Sends seven segments if ring and line take them now; `next` is told the number of the one it is asked for. */
  topUp(next: Next): boolean {
    const waiting = (this.seq - this.status.seq) & 0xff;
    const room = this.status.free - SEGMENTS_IN_FRAME * waiting;
    if (this.chip.unsent >= UNSENT_MOST || waiting >= UNACKNOWLEDGED_MOST || room < SEGMENTS_IN_FRAME) return false;
    const batch: number[][] = [];
    while (batch.length < SEGMENTS_IN_FRAME) {
      const segment = next(this.sent.length + batch.length);
      if (segment === undefined) break;
      batch.push([...segment]);
    }
    if (batch.length === 0) return false;
    this.sent.push(...batch);
    this.send(TYPE.segments, batch.flat());
    return true;
  }

  /**
   * Runs so many ticks and sends segments as credits allow; `saturate`: what they leave free of the line is filled with heartbeats.
   * Returns segments sent.
   */
  feed(next: Next, ticks: number, saturate = false): number {
    const end = this.chip.ticks + ticks;
    const { length } = this.sent;
    while (this.chip.ticks < end) {
      this.beatIfDue();
      if (this.topUp(next)) continue;
      while (saturate && this.chip.unsent < UNSENT_MOST) this.alive();
      this.chip.runTicks(20);
    }
    return this.sent.length - length;
  }

  beatIfDue(): void {
    if (this.chip.ticks < this.nextBeat) return;
    this.alive();
    this.nextBeat = this.chip.ticks + BEAT_TICKS;
  }

  pace(target = 64): void {
    this.send(TYPE.pace, [target, this.status.rests, this.eases]);
  }

  /** Fills the ring and brings the walk to full pace. */
  walk(next: () => readonly number[]): void {
    this.feed(next, 12_000);
    this.pace();
    for (let tries = 0; this.status.level !== 64; tries++) {
      if (tries > 100) throw new Error(`no full pace: ${JSON.stringify(this.status)}`);
      this.feed(next, 400);
    }
  }

  /** Eases and waits for rest. */
  rest(): Status {
    this.ease();
    for (let tries = 0; tries < 400; tries++) {
      this.beatIfDue();
      this.chip.runTicks(400);
      if (this.status.level === 0 && this.status.target === 0) return this.report();
    }
    throw new Error('it never came to rest');
  }

  /** Every axis of the board at half the tick rate, 20,000 steps/s each. */
  fastest(ticks: number): number[] {
    return [ticks, 0, 0, ...Array.from({ length: 5 }, (_, axis) => (axis < this.chip.board.axes ? ticks / 2 : 0))];
  }
}
