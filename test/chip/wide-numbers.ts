/**
 * Numbers at their ends. An int has 16 bits on the AVR and 32 in WebAssembly: what is promoted, shifted or multiplied wrongly comes out
 * different. The life of an emulated chip with the longest ramp and times, segments as long and as fast as may be, counters that go round, is
 * relived by the core and must be the same.
 */
import { expect } from 'vitest';
import type { AvrChip } from '../../firmware-host/virtual/chip/avr-chip';
import { ArmedWalk } from './armed-walk';
import { type ChipBoard, ChipHost } from './chip-host';
import { INPUT, TYPE } from './desk-host';
import { frame, type Status, word } from './frames';
import { comparable, RecordedChip, relive } from './lockstep';

const LINK_MOST = 16_383;
const RAMP_MOST_MS = 1500;
const WORD_MOST = 0xffff;

class WideLife {
  private seq = 0;
  private beat = WORD_MOST - 3;
  private readonly chip: AvrChip;

  constructor(private readonly recorded: RecordedChip) {
    this.chip = recorded.chip;
  }

  get status(): Status {
    return this.recorded.status!;
  }

  run(ticks: number): void {
    const { chip } = this;
    for (const end = chip.ticks + ticks; chip.ticks < end; ) {
      // Past the end of its counter and on.
      chip.write(frame(TYPE.heartbeat, LINK_MOST, 0, word(this.beat)));
      this.beat = (this.beat + 1) & WORD_MOST;
      this.recorded.run(Math.min(2000, end - chip.ticks));
    }
  }

  open(enableMs: number): void {
    const times = [LINK_MOST, RAMP_MOST_MS, WORD_MOST, WORD_MOST, enableMs];
    this.chip.write(frame(TYPE.open, 0, 0, times.flatMap(word)));
    this.seq = 0;
    this.run(2000);
  }

  send(type: number, body: readonly number[]): void {
    this.chip.write(frame(type, LINK_MOST, this.seq, body));
    this.seq = (this.seq + 1) & 0xff;
  }

  ease(eases: number): void {
    this.chip.write(frame(TYPE.ease, LINK_MOST, 0, [eases]));
    this.run(400);
  }

  /** Segments of 255 path ticks and 127 steps, all axes the same way; seven to a frame. */
  push(frames: number): void {
    const { axes } = this.chip.board;
    const longest = [255, 0, (1 << axes) - 1, ...Array.from({ length: 5 }, (_, axis) => (axis < axes ? 127 : 0))];
    for (let sent = 0; sent < frames; sent++) {
      this.send(TYPE.segments, Array.from({ length: 7 }, () => longest).flat());
      this.run(200);
    }
  }

  live(): void {
    this.recorded.setInputs(INPUT.liftUp);
    this.recorded.run(4000);
    // Drives that are ready in 65 s only: no pace.
    this.open(WORD_MOST);
    this.send(TYPE.drives, [1]);
    this.send(TYPE.pace, [64, 0, 0]);
    this.run(1000);
    this.send(TYPE.drives, [0]);
    this.run(1000);
    this.open(0);
    this.send(TYPE.drives, [1]);
    // Asked too early: waiting for enough of the path counts as droop, past 16 bits of ticks.
    this.send(TYPE.pace, [64, 0, 0]);
    this.run(70_000);
    this.push(18);
    this.run(20_000);
    // The longest ramp wants nearly all that the ring can hold.
    for (let round = 0; round < 60; round++) {
      if (this.status.free >= 7) this.push(1);
      this.recorded.setInputs(round % 8 < 4 ? INPUT.liftUp : INPUT.liftUp | INPUT.index);
      this.run(700);
    }
    this.recorded.setInputs(INPUT.liftUp);
    this.run(400);
    this.send(TYPE.seek, [...word(INPUT.index), ...word(WORD_MOST), 1]);
    this.recorded.setInputs(INPUT.liftUp | INPUT.index);
    this.run(70_000);
    this.send(TYPE.seek, [...word(WORD_MOST), ...word(WORD_MOST), 0]);
    // Counts of eases past the sign, and a pace that is older and one that is newer.
    for (const eases of [0x7f, 0x80, 0xff, 0x01]) this.ease(eases);
    this.send(TYPE.pace, [64, 0, 0xff]);
    this.send(TYPE.pace, [64, 0, 0x02]);
    this.run(20_000);
    // Past the end of seq.
    for (let sent = 0; sent < 260; sent++) {
      this.send(TYPE.pace, [sent % 2 ? 1 : 64, 0, 0x02]);
      this.run(120);
    }
    this.ease(0x03);
    this.run(62_000);
    this.send(TYPE.flush, []);
    this.run(1000);
  }
}

export function expectSameWithBothInts(board: ChipBoard): void {
  const recorded = new RecordedChip(board);
  const life = new WideLife(recorded);
  life.live();
  // The ends were reached.
  const levels = recorded.reader.frames.flatMap((one) => (one.type === TYPE.status ? [one.body[7]!] : []));
  expect(Math.max(...levels)).toBe(64);
  expect(life.status.droopTicks).toBeGreaterThan(WORD_MOST);
  expect(life.status.clock).toBeGreaterThan(4 * WORD_MOST);
  expect(life.status).toMatchObject({ stop: 0, level: 0, open: true });

  const relived = relive(recorded);
  expect(relived.strayed).toBe(false);
  const mine = recorded.steps.filter(({ tick }) => tick < relived.ticks);
  expect(recorded.chip.ticks - relived.ticks).toBeLessThan(400);
  expect(mine.length).toBeGreaterThan(20_000);
  expect(relived.steps).toEqual(mine);
  const frames = comparable(relived.frames);
  const told = comparable(recorded.reader.frames);
  expect(frames.length).toBeGreaterThanOrEqual(told.length - 1);
  expect(frames).toEqual(told.slice(0, frames.length));
}

/** Segment numbers go round at 65,536; the walk stays exact. Returns how many segments there were. */
export function numbersGoRound(board: ChipBoard): number {
  const segments = (host: ChipHost) => () => host.fastest(20);
  const walk = new ArmedWalk(new ChipHost(board), 1, segments);
  const { host } = walk;
  while (host.sent.length < WORD_MOST + 2000) walk.feed(4000);
  expect(host.status).toMatchObject({ stop: 0, underruns: 0 });
  host.ease();
  const told = walk.untilRest();
  expect(told.accepted).toBeLessThan(3000);
  walk.expectOnPath(told);
  return host.sent.length;
}
