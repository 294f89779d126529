/** The serial line of an emulated chip with the buffers of silicon: what happens when its interrupt, main loop or transmitter is held up. */
import { expect } from 'vitest';
import { CYCLES_PER_TICK } from '../../firmware-host/virtual/chip/avr-chip';
import { ArmedWalk, anySegments, fullRate } from './armed-walk';
import { type ChipBoard, ChipHost, LINK } from './chip-host';
import { TYPE } from './desk-host';
import { frame, word } from './frames';
import { SiliconLine } from './silicon-line';

const CYCLES_PER_BYTE = 640;
const SELF_JUMP = 0xcfff;
/** The image's own ring holds 128 bytes, one of which is always free. */
const RING_BYTES = 127;
const COUNTER = { crc: 0, length: 1, aborted: 5, overrun: 6 };
const BROKEN = [COUNTER.crc, COUNTER.length, COUNTER.aborted];
const LINK_ERRORS = 8;
/** Slow enough that the link errors of one second stay below 20. */
const PAUSE_TICKS = 1200;

interface Trap {
  walk: ArmedWalk;
  line: SiliconLine;
}

function walking(board: ChipBoard, seed: number, segments = anySegments): Trap {
  const host = new ChipHost(board);
  const line = new SiliconLine(host.chip);
  return { walk: new ArmedWalk(host, seed, segments), line };
}

function expectExactEnd({ walk }: Trap): void {
  walk.host.ease();
  walk.expectOnPath(walk.untilRest());
}

/** A saturated line both ways, at full rate, for half a second. Returns a sentence of figures. */
export function saturated(board: ChipBoard): string {
  const trap = walking(board, 1, fullRate);
  const { walk, line } = trap;
  walk.host.feed(walk.next, 20_000, true);
  expect(walk.host.status).toMatchObject({ level: 64, stop: 0, underruns: 0, counters: Array(8).fill(0) });
  expect({ lost: line.lost, ignored: line.ignored }).toEqual({ lost: 0, ignored: 0 });
  expect(line.shortestSent).toBeGreaterThanOrEqual(CYCLES_PER_BYTE);
  // Back to back: the buffer before the shift register is filled while that is busy.
  expect(line.shortestSent).toBeLessThan(CYCLES_PER_BYTE + 16);
  // Read before the next is complete: of the two that the receiver holds, one is to spare.
  expect(line.longestWait).toBeLessThan(CYCLES_PER_BYTE);
  expectExactEnd(trap);
  return `${board} board: a character waits ${line.longestWait} cycles at most to be read, of ${2 * CYCLES_PER_BYTE} before one is lost`;
}

/**
 * The receiver's interrupt is held up for five characters at each place of a segments frame, or every so many: one is lost, told by DOR0 and counted;
 * the frame is dropped, and taken when it is sent again. Returns how often.
 */
export function receiverOverrun(board: ChipBoard, every: number): number {
  const trap = walking(board, 2);
  const { walk, line } = trap;
  const { host } = walk;
  const { chip } = host;
  let overruns = 0;
  for (let at = 0; ; at += every) {
    walk.feed(PAUSE_TICKS);
    while (chip.unsent > 0) chip.runTicks(1);
    chip.runTicks(400);
    const { seq, accepted, counters } = host.status;
    expect(seq).toBe(host.seq);
    const segment = walk.next();
    const wire = frame(TYPE.segments, LINK, host.seq, segment);
    if (at + 5 > wire.length) break;
    const { lost, overrunsRead } = line;
    chip.write(wire);
    const arrived = chip.arrived + at;
    while (chip.arrived < arrived) chip.runCycles(1);
    line.holdReceiver(5 * CYCLES_PER_BYTE);
    chip.runTicks(800);
    expect(line.lost).toBeGreaterThan(lost);
    expect(line.overrunsRead).toBe(overrunsRead + 1);
    const after = host.report();
    expect({ seq: after.seq, accepted: after.accepted }).toEqual({ seq, accepted });
    expect(after.counters[COUNTER.overrun]! - counters[COUNTER.overrun]!).toBe(1);
    overruns++;
    // Sent again, as a host does; the byte lost may have been the start of a frame, of which nothing is left to be counted.
    host.sent.push(segment);
    host.send(TYPE.segments, segment);
    chip.runTicks(800);
    const taken = host.report();
    expect({ seq: taken.seq, accepted: taken.accepted }).toEqual({ seq: host.seq, accepted: accepted + 1 });
    const broken = BROKEN.reduce((sum, counter) => sum + taken.counters[counter]! - counters[counter]!, 0);
    expect(broken).toBeLessThanOrEqual(1);
  }
  expect(host.status).toMatchObject({ stop: 0, underruns: 0 });
  expectExactEnd(trap);
  return overruns;
}

/**
 * The main loop stands still while bytes come in, until `beyond` of them find the image's ring full: each is counted, and the walk goes
 * on, which needs no main loop.
 */
function mainLoopLate({ walk }: Trap, beyond: number): void {
  const { host } = walk;
  const { chip } = host;
  while (chip.unsent > 0) chip.runTicks(1);
  chip.runTicks(400);
  const beats = Array.from({ length: 40 }, (_, beat) => frame(TYPE.heartbeat, LINK, 0, word(30_000 + beat))).flat();
  while (!chip.cpu.interruptsEnabled) chip.runCycles(1);
  const { pc, progMem } = chip.cpu;
  const instruction = progMem[pc]!;
  progMem[pc] = SELF_JUMP;
  chip.write(beats.slice(0, RING_BYTES + beyond));
  while (chip.unsent > 0) chip.runTicks(1);
  chip.runTicks(4);
  progMem[pc] = instruction;
  chip.runTicks(400);
}

/** A few bytes lost: counted to the byte, and the walk goes on. */
export function ringOverrun(board: ChipBoard): void {
  const trap = walking(board, 3);
  const { walk, line } = trap;
  const { host } = walk;
  for (const beyond of [1, 12]) {
    walk.feed(PAUSE_TICKS);
    const { counters } = host.status;
    mainLoopLate(trap, beyond);
    const told = host.report();
    expect(told.counters[COUNTER.overrun]! - counters[COUNTER.overrun]!).toBe(beyond);
    expect(told).toMatchObject({ stop: 0, open: true, underruns: 0, target: 64 });
  }
  expect(line.lost).toBe(0);
  walk.feed(PAUSE_TICKS);
  expect(host.status.level).toBe(64);
  expectExactEnd(trap);
}

/** More than 20 in a second: stop 8, at rest on the path. */
export function ringOverrunTooOften(board: ChipBoard): void {
  const trap = walking(board, 4);
  const { walk } = trap;
  walk.feed(4000);
  mainLoopLate(trap, 45);
  const told = walk.untilRest();
  expect(told).toMatchObject({ stop: LINK_ERRORS, open: false, drives: true, underruns: 0 });
  walk.expectOnPath(told);
}

/** The transmitter stands still for a fifth of a second: nothing is written to a full buffer, and one status tells all that piled up. */
export function transmitterStands(board: ChipBoard): void {
  const trap = walking(board, 5);
  const { walk, line } = trap;
  const { host } = walk;
  const { chip } = host;
  walk.feed(4000);
  const { length } = host.reader.frames;
  const { clock } = host.status;
  line.stallTransmitter(8000 * CYCLES_PER_TICK);
  for (let ticks = 0; ticks < 7200; ticks += 800) {
    host.send(TYPE.clear, []);
    chip.runTicks(800);
  }
  expect(host.reader.frames.length).toBeLessThanOrEqual(length + 1);
  const { edges } = walk;
  walk.feed(8000);
  expect(walk.edges).toBeGreaterThan(edges);
  expect(line.ignored).toBe(0);
  // Each `clear` in motion was refused: the first refusal is told, the counter counts nine.
  const refused = host.reader.frames.slice(length).filter(({ type }) => type === TYPE.refused);
  expect(refused).toHaveLength(1);
  expect(host.status).toMatchObject({ seq: host.seq, stop: 0, underruns: 0, level: 64 });
  expect(host.status.clock - clock).toBeGreaterThan(14_000);
  expect(host.status.counters).toEqual([0, 0, 0, 0, 0, 0, 0, 9]);
  expectExactEnd(trap);
}
