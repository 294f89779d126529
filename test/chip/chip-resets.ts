/**
 * Resets of an emulated chip in full motion: its main loop hangs until the watchdog bites, or its supply dips. A chip that was reset is a
 * new one: registers and RAM of the old are gone, its EEPROM is not. What the host of before goes on saying moves nothing.
 */
import { expect } from 'vitest';
import { AvrChip } from '../../firmware-host/virtual/chip/avr-chip';
import { type ChipBoard, ChipHost, LINK } from './chip-host';
import { INPUT, placeOf, TYPE } from './desk-host';
import { frame, Reader } from './frames';
import { Seeded } from './seeded';
import { SegmentSource } from './segments';

const WATCHDOG = 8;
const BROWN_OUT = 4;
/** `bootCause` of SPEC 4. */
export const CAUSE = { [WATCHDOG]: 4, [BROWN_OUT]: 3 } as const;
const SELF_JUMP = 0xcfff;
const MCUSR = 0x54;
const WDTCSR = 0x60;
const WDRF = 0x08;

function inMotion(board: ChipBoard, seed: number): { host: ChipHost; next: () => number[] } {
  const host = new ChipHost(board);
  const source = new SegmentSource(new Seeded(seed), host.chip.board.axes);
  const next = (): number[] => source.next();
  host.ready(50);
  host.walk(next);
  return { host, next };
}

/** The main loop stands still, at an instruction of its own, while interrupts go on; until the watchdog bites. Milliseconds it took. */
export function hangUntilBitten(board: ChipBoard, seed: number): { bitten: AvrChip; ms: number } {
  const { host } = inMotion(board, seed);
  const { chip } = host;
  host.chip.runTicks(new Seeded(seed).whole(1, 400));
  while (!chip.cpu.interruptsEnabled) chip.runCycles(1);
  const began = chip.ticks;
  chip.cpu.progMem[chip.cpu.pc] = SELF_JUMP;
  while (!chip.watchdogBit) {
    if (chip.ticks - began > 40_000) throw new Error('the watchdog never bites');
    chip.runTicks(1);
  }
  return { bitten: chip, ms: (chip.ticks - began) / 40 };
}

export function dipInMotion(board: ChipBoard, seed: number): AvrChip {
  const { host } = inMotion(board, seed);
  host.chip.runCycles(new Seeded(seed).whole(1, 100_000));
  return host.chip;
}

/** The chip after the reset: still until a person's three intents have become open, clear, drives and pace. */
export function expectComesUpStill(board: ChipBoard, old: AvrChip, flags: typeof WATCHDOG | typeof BROWN_OUT): void {
  const chip = new AvrChip(board, { eeprom: old.eeprom, resetFlags: flags });
  const { writeHooks } = chip.cpu;
  let stoppedInTime = true;
  writeHooks[WDTCSR] = () => {
    // While WDRF stands the hardware sets WDE again: the cause has to be put away first.
    if (chip.cpu.data[MCUSR]! & WDRF) stoppedInTime = false;
  };
  let edges = 0;
  let on = false;
  const enable = chip.output('enable');
  const lower = chip.output('lower');
  chip.onStep = () => edges++;
  chip.onTick = () => {
    on ||= enable() || lower();
  };
  const reader = new Reader();
  chip.onByte = (byte) => reader.take([byte]);
  chip.setInputs(INPUT.liftUp);
  // The host of before has not noticed: segments, drives, pace, heartbeats under its link.
  const stale = [
    frame(TYPE.drives, LINK, 9, [1]),
    frame(TYPE.segments, LINK, 10, [100, 0, 0, 10, 10, 10, 10, 0]),
    frame(TYPE.pace, LINK, 11, [64, 0, 0]),
    frame(TYPE.heartbeat, LINK, 0, [1, 2]),
  ];
  for (let i = 0; i < 40; i++) {
    chip.write(stale.flat());
    chip.runTicks(800);
  }
  expect({ edges, on, stoppedInTime, bitten: chip.watchdogBit }).toEqual({
    edges: 0,
    on: false,
    stoppedInTime: true,
    bitten: false,
  });

  const host = new ChipHost(board, chip);
  host.open(50);
  const opened = host.reader.frames.find(({ type }) => type === TYPE.opened)!;
  expect(opened.body.slice(1, 4)).toEqual([2, 0, CAUSE[flags]]);
  const first = host.report();
  expect(first).toMatchObject({ drives: false, lost: true, level: 0, target: 0, accepted: 0 });
  const source = new SegmentSource(new Seeded(3), chip.board.axes);
  if (first.stop !== 0) host.send(TYPE.clear, []);
  host.feed(() => source.next(), 8000);
  host.pace();
  host.chip.runTicks(4000);
  // Pace alone starts nothing: the drives are off.
  expect(host.report()).toMatchObject({ level: 0, target: 0, drives: false });
  host.send(TYPE.drives, [1]);
  host.chip.runTicks(800);
  const steps = Array.from({ length: chip.board.axes }, () => 0);
  chip.onStep = (mask, ways) => {
    for (let axis = 0; axis < steps.length; axis++) if ((mask >> axis) & 1) steps[axis]! += (ways >> axis) & 1 ? -1 : 1;
  };
  host.pace();
  host.feed(() => source.next(), 8000);
  const { place } = host.rest();
  expect(place.begun).toBeGreaterThan(10);
  expect(steps).toEqual(steps.map((_, axis) => placeOf(host.sent, place.begun, place.left, axis)));
}
