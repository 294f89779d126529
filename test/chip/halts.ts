/**
 * Halt and guard opened at random moments of a walk at full speed. From each moment the board is copied, the contact opened in the copy,
 * and the walk itself goes on untouched.
 */
import { expect } from 'vitest';
import { VirtualBoard } from '../../firmware-host/controller/wasm/load';
import { CPU_HZ, CYCLES_PER_TICK } from '../../firmware-host/virtual/chip/avr-chip';
import { type ChipBoard, ChipHost } from './chip-host';
import { DeskHost, INPUT, placeOf, TYPE } from './desk-host';
import { status } from './frames';
import { Seeded } from './seeded';

const CYCLES_PER_US = CPU_HZ / 1e6;
/** A tick, and 6 us for an interrupt that is held up. */
const OFF_WITHIN = CYCLES_PER_TICK + 6 * CYCLES_PER_US;
const WATCHED_TICKS = 40;
const us = (cycles: number): string => (cycles / CYCLES_PER_US).toFixed(2);

interface Walking {
  host: ChipHost;
  random: Seeded;
  /** Goes on with the walk to a random moment, any cycle of it. */
  toNextMoment(): void;
}

/** All axes at 20,000 steps/s each; `saturate`: the line never pauses. */
function walking(board: ChipBoard, seed: number, rampMs: number, saturate: boolean): Walking {
  const host = new ChipHost(board);
  const random = new Seeded(seed);
  const next = (): number[] => host.fastest(2 * random.whole(12, 24));
  host.ready(rampMs);
  host.walk(next);
  return {
    host,
    random,
    toNextMoment() {
      host.feed(next, random.whole(1, 20), saturate);
      host.chip.runCycles(random.whole(1, CYCLES_PER_TICK));
    },
  };
}

/** Returns a sentence of figures. */
export function haltImage(board: ChipBoard, moments: number, seed: number): string {
  const { host, toNextMoment } = walking(board, seed, 50, true);
  const { chip } = host;
  const drivesOn = chip.output('enable');
  const { onByte } = chip;
  let worstEdge = 0;
  let worstOff = 0;
  let edges = 0;
  for (let moment = 0; moment < moments; moment++) {
    toNextMoment();
    const before = chip.snapshot();
    const opened = chip.cpu.cycles;
    chip.onByte = null;
    chip.onStep = () => {
      edges++;
      worstEdge = Math.max(worstEdge, chip.cpu.cycles - opened);
    };
    chip.setInputs(INPUT.liftUp | INPUT.halt);
    while (drivesOn() && chip.cpu.cycles - opened < 4 * CYCLES_PER_TICK) chip.runCycles(1);
    worstOff = Math.max(worstOff, chip.cpu.cycles - opened);
    chip.runTicks(WATCHED_TICKS);
    expect(drivesOn()).toBe(false);
    chip.onStep = null;
    chip.onByte = onByte;
    chip.restore(before);
  }
  expect(host.report()).toMatchObject({ level: 64, stop: 0 });
  expect(worstEdge).toBeLessThanOrEqual(CYCLES_PER_TICK);
  expect(worstOff).toBeLessThanOrEqual(OFF_WITHIN);
  return (
    `${board} board, halt at ${moments} moments: last rising edge ${us(worstEdge)} us after the contact at most (${edges} edges after it in ` +
    `all), drives off after ${us(worstOff)} us at most`
  );
}

export function guardImage(board: ChipBoard, moments: number, seed: number): string {
  const { host, toNextMoment } = walking(board, seed, 50, false);
  const { chip } = host;
  const { axes } = chip.board;
  const drivesOn = chip.output('enable');
  // Steps since the walk's beginning: those already made are told by a first stop, in a copy.
  const made = stepsMade(host);
  const { onByte } = chip;
  let slowest = 0;
  let edgesAfterOff = 0;
  chip.onStep = (mask) => count(made, mask);
  for (let moment = 0; moment < moments; moment++) {
    toNextMoment();
    const before = chip.snapshot();
    const steps = [...made];
    const reader = host.reader.copy();
    const opened = chip.cpu.cycles;
    chip.onByte = (byte) => reader.take([byte]);
    chip.onStep = (mask) => {
      if (!drivesOn()) edgesAfterOff++;
      count(steps, mask);
    };
    chip.setInputs(INPUT.liftUp | INPUT.guard);
    while (drivesOn() && chip.cpu.cycles - opened < CPU_HZ) chip.runTicks(1);
    slowest = Math.max(slowest, chip.cpu.cycles - opened);
    chip.runTicks(1600);
    const told = status(reader.frames.findLast(({ type }) => type === TYPE.status)!);
    expect({ drives: drivesOn(), stop: told.stop, level: told.level, lost: told.lost }).toEqual({
      drives: false,
      stop: 3,
      level: 0,
      lost: true,
    });
    for (let axis = 0; axis < axes; axis++) {
      expect(steps[axis]).toBe(placeOf(host.sent, told.place.begun, told.place.left, axis));
    }
    chip.onByte = onByte;
    chip.onStep = (mask) => count(made, mask);
    chip.restore(before);
  }
  expect(edgesAfterOff).toBe(0);
  // The ramp of 50 ms, and two samples.
  expect(slowest / CPU_HZ).toBeLessThan(0.055);
  return `${board} board, guard at ${moments} moments: at rest on the path every time, drives off ${((1000 * slowest) / CPU_HZ).toFixed(1)} ms after at most (ramp 50 ms)`;
}

const count = (steps: number[], mask: number): void => {
  for (let axis = 0; axis < steps.length; axis++) if ((mask >> axis) & 1) steps[axis]!++;
};

/** Steps made up to now: a copy is eased to rest, its place looked up, and the steps of its way there taken off. */
function stepsMade(host: ChipHost): number[] {
  const { chip, reader, seq, eases } = host;
  const before = chip.snapshot();
  const way = Array.from({ length: chip.board.axes }, () => 0);
  host.reader = reader.copy();
  chip.onStep = (mask) => count(way, mask);
  const { place } = host.rest();
  chip.onStep = null;
  chip.restore(before);
  Object.assign(host, { reader, seq, eases });
  return way.map((steps, axis) => placeOf(host.sent, place.begun, place.left, axis) - steps);
}

/** The WebAssembly core: not one edge in the tick that sees the contact open, nor after. Returns edges looked for in vain. */
export function haltVirtual(moments: number, seed: number): number {
  const { host, toNextMoment } = virtualWalk(seed);
  const copy = new VirtualBoard();
  for (let moment = 0; moment < moments; moment++) {
    toNextMoment();
    copy.restore(host.board.snapshot());
    copy.recordSteps(true);
    copy.force(INPUT.halt);
    copy.run(1);
    expect(copy.drivesEnabled).toBe(false);
    copy.run(WATCHED_TICKS);
    expect(copy.drainSteps()).toEqual([]);
  }
  expect(host.status.level).toBe(64);
  return moments;
}

/** The WebAssembly core: at rest on the path, then the drives off. */
export function guardVirtual(moments: number, seed: number): void {
  const { host, sent, toNextMoment } = virtualWalk(seed);
  const copy = new DeskHost();
  for (let moment = 0; moment < moments; moment++) {
    toNextMoment();
    copy.board.restore(host.board.snapshot());
    Object.assign(copy, { reader: host.reader.copy() });
    copy.board.force(INPUT.guard);
    for (let ms = 0; copy.board.drivesEnabled; ms++) {
      if (ms > 60) throw new Error('the drives stay on');
      copy.ms(1);
    }
    copy.ms(45);
    const { place, stop, level } = copy.status;
    expect({ stop, level }).toEqual({ stop: 3, level: 0 });
    for (let axis = 0; axis < 5; axis++)
      expect(copy.board.position(axis)).toBe(placeOf(sent, place.begun, place.left, axis));
  }
}

function virtualWalk(seed: number): { host: DeskHost; sent: number[][]; toNextMoment(): void } {
  const random = new Seeded(seed);
  const host = new DeskHost().ready({ rampMs: 50 });
  const sent: number[][] = [];
  const next = (): number[] => {
    const half = random.whole(12, 24);
    return [2 * half, 0, 0, half, half, half, half, half];
  };
  const topUp = (): void => {
    const waiting = sent.length - host.status.accepted;
    if (host.status.free - (waiting & 0xffff) < 7) return;
    const batch = Array.from({ length: 7 }, next);
    sent.push(...batch);
    host.send(TYPE.segments, batch.flat());
  };
  for (let i = 0; i < 40; i++) {
    topUp();
    host.ms(4);
  }
  host.pace(64);
  for (let i = 0; i < 40; i++) {
    topUp();
    host.ms(4);
  }
  return {
    host,
    sent,
    toNextMoment() {
      // Seldom: the line has to carry the segments.
      if (random.chance(0.01)) host.alive();
      topUp();
      host.ticks(random.whole(1, 40));
    },
  };
}
