/** The emulated chip sleeps from one match of its timer to the next: as where avr8js counts the timer all the way. */
import { expect, it } from 'vitest';
import { AvrChip } from '../../firmware-host/virtual/chip/avr-chip';
import { CHIP_BOARDS, type ChipBoard, ChipHost } from './chip-host';
import { Seeded } from './seeded';

/** Without a method of its own the emulator's is used again. */
function chipOf(board: ChipBoard, leaps: boolean): AvrChip {
  const chip = new AvrChip(board);
  expect(Reflect.has(chip.cpu, 'addClockEvent')).toBe(true);
  if (!leaps) expect(Reflect.deleteProperty(chip.cpu, 'addClockEvent')).toBe(true);
  return chip;
}

function ticksOf(chip: AvrChip): number[] {
  const began: number[] = [];
  chip.onTick = (cycles) => began.push(chip.cpu.cycles - cycles);
  chip.runTicks(10_000);
  return began;
}

it.each(CHIP_BOARDS)('every tick of the %s board begins at the same cycle', (board) => {
  expect(ticksOf(chipOf(board, true))).toEqual(ticksOf(chipOf(board, false)));
});

/** The STEP and DIR pins at each rising edge of a walk on a busy line, and how many ticks it took. */
function walked(board: ChipBoard, leaps: boolean): { edges: number[][]; ticks: number } {
  const host = new ChipHost(board, chipOf(board, leaps));
  host.ready(100);
  const edges: number[][] = [];
  host.chip.onStep = (...edge) => edges.push(edge);
  const random = new Seeded(77);
  const next = (): number[] => host.fastest(2 * random.whole(12, 24));
  host.walk(next);
  host.feed(next, 2000, true);
  return { edges, ticks: host.chip.ticks };
}

// When a byte arrives may differ by an instruction: avr8js sees to one event at a time, and its timer is always one.
it.each(CHIP_BOARDS)('a walk of the %s board makes the same edges', (board) => {
  const leapt = walked(board, true);
  expect(leapt.edges.length).toBeGreaterThan(1000);
  expect(leapt).toEqual(walked(board, false));
});
