/** Walks of the emulated boards at the limit of what the SPEC allows, and what the pins showed. */
import { expect } from 'vitest';
import { CPU_HZ, CYCLES_PER_TICK } from '../../firmware-host/virtual/chip/avr-chip';
import { type ChipBoard, ChipHost, SILICON } from './chip-host';
import { placeOf } from './desk-host';
import { EdgeWatch } from './edge-watch';
import { Seeded } from './seeded';
import { SegmentSource } from './segments';

const TICK_HZ = 40_000;
const CYCLES_PER_US = CPU_HZ / 1e6;
const CYCLES_PER_BYTE = 640;
const JITTER_MOST = 6 * CYCLES_PER_US;
const PULSE_LEAST = 10 * CYCLES_PER_US;

const us = (cycles: number): string => (cycles / CYCLES_PER_US).toFixed(2);

function expectPulses(watch: EdgeWatch): void {
  expect(watch.leastHigh).toBeGreaterThanOrEqual(PULSE_LEAST);
  expect(watch.leastLow).toBeGreaterThanOrEqual(PULSE_LEAST);
}

/** Every axis has made the steps that the segments say, up to the place told. */
function expectCounts(host: ChipHost, watch: EdgeWatch): void {
  const { place } = host.rest();
  const wanted = watch.steps.map((_, axis) => placeOf(host.sent, place.begun, place.left, axis));
  expect(watch.steps).toEqual(wanted);
}

/**
 * All axes of the board at 20,000 steps/s each for so many seconds, in segments of 24 to 48 ticks, so that a border is met each
 * millisecond; the line never pauses. Returns a sentence of figures.
 */
export function fullRate(board: ChipBoard, seconds: number): string {
  const host = new ChipHost(board);
  const random = new Seeded(20_000);
  const next = (): number[] => host.fastest(2 * random.whole(12, 24));
  host.ready(100);
  const watch = new EdgeWatch(host.chip);
  host.walk(next);
  host.worst = 0;
  host.meanTick();
  watch.leastGap.fill(Number.POSITIVE_INFINITY);
  watch.mostGap.fill(0);
  watch.phases.fill(0);
  const before = { rises: [...watch.rises], bytes: host.chip.arrived, cycles: host.chip.cpu.cycles };
  const segments = host.feed(next, seconds * TICK_HZ, true);
  const cycles = host.chip.cpu.cycles - before.cycles;
  const made = watch.rises.map((count, axis) => count - before.rises[axis]!);
  const busyLine = ((host.chip.arrived - before.bytes) * CYCLES_PER_BYTE) / cycles;
  const { underruns, droopTicks, counters } = host.status;
  const gaps = { least: Math.min(...watch.leastGap), most: Math.max(...watch.mostGap) };
  const { jitter } = watch;
  const mean = host.meanTick();
  const figures =
    `${board} board, ${seconds} s: ${made.map((count) => (count / seconds).toFixed(0)).join(', ')} steps/s; ${segments} segments, ` +
    `line ${(100 * busyLine).toFixed(1)} % busy; a tick takes ${mean.toFixed(0)} cycles in the mean, ${host.worst} at worst of ` +
    `${CYCLES_PER_TICK} (avr8js; ${SILICON[board]} more on silicon); step to step ${us(gaps.least)} to ${us(gaps.most)} us of 50, ` +
    `edges within ${us(jitter)} us of the tick grid, STEP high ${us(watch.leastHigh)} us and low ${us(watch.leastLow)} us at least`;

  const axes = host.chip.board.axes;
  for (let axis = 0; axis < axes; axis++) expect(Math.abs(made[axis]! - seconds * 20_000)).toBeLessThanOrEqual(2);
  expect(busyLine).toBeGreaterThan(0.99);
  expect({ underruns, droopTicks, counters, lost: host.chip.bytesLost }).toEqual({
    underruns: 0,
    droopTicks: 0,
    counters: Array(8).fill(0),
    lost: 0,
  });
  expect(host.worst + SILICON[board]).toBeLessThan(CYCLES_PER_TICK);
  // No gap where segments meet: every step of every axis two ticks after the one before.
  expect(gaps.least).toBeGreaterThanOrEqual(2 * CYCLES_PER_TICK - JITTER_MOST);
  expect(gaps.most).toBeLessThanOrEqual(2 * CYCLES_PER_TICK + JITTER_MOST);
  expect(jitter).toBeLessThanOrEqual(JITTER_MOST);
  expectPulses(watch);
  expectCounts(host, watch);
  return figures;
}

/**
 * One coordinated move of two seconds: axes at 20,000, 15,400, 10,000, 4,800 and 600 steps/s that begin and end together. An axis's
 * last step is due half its own step period before the end.
 */
export function coordinatedMove(board: ChipBoard): string {
  const host = new ChipHost(board);
  const { axes } = host.chip.board;
  const steps = [100, 77, 50, 24, 3].map((count, axis) => (axis < axes ? count : 0));
  const ticks = 200;
  const count = 400;
  host.ready(50);
  const still = [255, 0, 0, 0, 0, 0, 0, 0];
  host.walk(() => still);
  const watch = new EdgeWatch(host.chip);
  let moved = 0;
  const move = [ticks, 0, 0, ...steps];
  host.feed(() => (moved++ < count ? move : still), 3.4 * TICK_HZ);
  expect(watch.rises).toEqual(steps.slice(0, axes).map((some) => some * count));
  const periods = steps.slice(0, axes).map((some) => (ticks / some) * CYCLES_PER_TICK);
  const ends = periods.map((period, axis) => watch.lastRise[axis]! + period / 2);
  const spread = Math.max(...ends) - Math.min(...ends);
  const raw = Math.max(...watch.lastRise) - Math.min(...watch.lastRise);
  // Step to step within a tick (and the jitter) of the axis's own period: no gap at the 399 borders either.
  periods.forEach((period, axis) => {
    expect(watch.leastGap[axis]!).toBeGreaterThan(period - CYCLES_PER_TICK - JITTER_MOST);
    expect(watch.mostGap[axis]!).toBeLessThan(period + CYCLES_PER_TICK + JITTER_MOST);
  });
  expect(spread).toBeLessThanOrEqual(CYCLES_PER_TICK);
  return (
    `${board} board: counts ${watch.rises.join(', ')} exact; the axes end within ${us(spread)} us of each other ` +
    `(last edges themselves ${us(raw)} us apart: the slowest axis's last step is due half a period before the end)`
  );
}

/** Random segments with reversals: pulses, and DIR before and after them. */
export function reversals(board: ChipBoard, seconds: number): string {
  const host = new ChipHost(board);
  const source = new SegmentSource(new Seeded(7), host.chip.board.axes);
  host.ready(50);
  const watch = new EdgeWatch(host.chip);
  host.walk(() => source.next());
  host.feed(() => source.next(), seconds * TICK_HZ);
  expectPulses(watch);
  // DIR changes within a tick interrupt, which may itself be late: a tick less the jitter on either side of every STEP.
  expect(watch.leastLead).toBeGreaterThanOrEqual(CYCLES_PER_TICK - JITTER_MOST);
  expect(watch.leastHold).toBeGreaterThanOrEqual(CYCLES_PER_TICK - JITTER_MOST);
  expect(watch.reversals).toBeGreaterThan(30 * seconds);
  expectCounts(host, watch);
  return (
    `${board} board, ${watch.reversals} reversals: DIR leads STEP by ${us(watch.leastLead)} us and stays for ${us(watch.leastHold)} us after it ` +
    `at least; STEP high ${us(watch.leastHigh)} us, low ${us(watch.leastLow)} us at least`
  );
}
