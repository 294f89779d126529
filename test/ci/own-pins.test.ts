/**
 * The image of a stand whose file turns pins round, compiled and run in the emulated chip, its pins looked at as bare levels: ENABLE off
 * and STEP idle from the first cycle that they are driven, a walk with the very edges of the standard image turned round, a halt, and
 * marks whose sensors open there.
 */
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { buildStandImage } from '../../firmware-host/controller/build';
import { readManifest } from '../../firmware-host/controller/images';
import { type OutputPin, type PinBoard, readPins } from '../../firmware-host/controller/pin-table';
import { ownImageFolder, standImage } from '../../firmware-host/controller/stand-image';
import { AvrChip, CPU_HZ, CYCLES_PER_TICK } from '../../firmware-host/virtual/chip/avr-chip';
import { pinAddress } from '../../firmware-host/virtual/chip/avr-parts';
import type { Level, OwnPins } from '../../planner/stand/pins';
import { CHIP_BOARDS, type ChipBoard, ChipHost, SILICON } from '../chip/chip-host';
import { INPUT, TYPE } from '../chip/desk-host';
import { EdgeWatch } from '../chip/edge-watch';
import { frame, word } from '../chip/frames';
import { Seeded } from '../chip/seeded';
import { SegmentSource } from '../chip/segments';

/** Some of each bus, so that a mask that turns all of it round, or none, is seen. */
const LEVELS: Record<string, Level> = {
  enable: 'high',
  'step.turntable': 'low',
  'step.stroke': 'low',
  'step.lapTurn': 'low',
  'direction.stroke': 'low',
  'direction.radial': 'low',
};
/** Marks whose sensors open there. */
const OPENING: Record<ChipBoard, string[]> = {
  reference: ['index', 'lapTurnReference', 'turntableReference'],
  small: ['index'],
};
/** Bits of SPEC 6. */
const BITS: Record<string, number> = {
  index: INPUT.index,
  lapTurnReference: INPUT.lapTurnReference,
  turntableReference: 0x0800,
};
const ownPins = (board: ChipBoard): OwnPins => ({
  ...LEVELS,
  ...Object.fromEntries(OPENING[board].map((signal) => [signal, 'open'] as const)),
});
const OFF_WITHIN = CYCLES_PER_TICK + (6 * CPU_HZ) / 1e6;

let home: string;
beforeAll(() => {
  home = mkdtempSync(join(tmpdir(), 'wholeturn-own-pins-'));
});
afterAll(() => rmSync(home, { recursive: true }));

const tableOf = (board: ChipBoard): PinBoard => readPins().find((one) => one.board === board)!;

function outputsOf(board: ChipBoard): OutputPin[] {
  return tableOf(board).pins.filter((pin) => pin.kind === 'output');
}

const axesOf = (board: ChipBoard): number => tableOf(board).axes;

/** Level of a pin as it is driven: 1 or 0; null while it floats. */
function levelOf(chip: AvrChip, pin: OutputPin): number | null {
  const at = pinAddress(pin.port);
  const bit = (address: number): number => (chip.cpu.data[address]! >> pin.bit) & 1;
  return bit(at + 1) === 1 ? bit(at + 2) : null;
}

/** Level while it is on, with the outputs above turned round or as the board's own table has them. */
function onLevel({ signal, on }: OutputPin, own: boolean): number {
  return ((own && LEVELS[signal]) || on) === 'high' ? 1 : 0;
}

/** Every change of the pins of a bus, in order, as levels in the order of the axes. */
function traced(chip: AvrChip, bus: 'step' | 'direction', board: ChipBoard): string[] {
  const pins = outputsOf(board).filter(({ signal }) => signal.startsWith(`${bus}.`));
  const address = pinAddress(pins[0]!.port) + 2;
  const { writeHooks } = chip.cpu;
  const before = writeHooks[address];
  const seen: string[] = [];
  let last = '';
  writeHooks[address] = (value, old, at, mask) => {
    const levels = pins.map(({ bit }) => (value >> bit) & 1).join('');
    if (levels !== last) seen.push(levels);
    last = levels;
    return before?.(value, old, at, mask);
  };
  return seen;
}

function turnedRound(levels: string, bus: 'step' | 'direction', board: ChipBoard): string {
  const pins = outputsOf(board).filter(({ signal }) => signal.startsWith(`${bus}.`));
  return [...levels].map((level, i) => Number(level) ^ (LEVELS[pins[i]!.signal] === 'low' ? 1 : 0)).join('');
}

/** A hundred segments with reversals, walked to a planned rest at their end; all that a drive saw of it. */
function walked(chip: AvrChip, board: ChipBoard) {
  const host = new ChipHost(board, chip);
  const source = new SegmentSource(new Seeded(36), chip.board.axes);
  const segments = Array.from({ length: 100 }, (_, number) => source.next(number === 99));
  host.ready(50);
  const enable = levelOf(chip, outputsOf(board).find(({ signal }) => signal === 'enable')!);
  const steps = traced(chip, 'step', board);
  const directions = traced(chip, 'direction', board);
  const watch = new EdgeWatch(chip);
  host.feed((number) => segments[number], 2400);
  host.pace();
  host.feed((number) => segments[number], 17_000);
  const { level, place, underruns, stop } = host.report();
  expect({ level, place, underruns, stop }).toEqual({
    level: 0,
    place: { begun: 100, left: 0 },
    underruns: 0,
    stop: 0,
  });
  return { enable, steps, directions, watch };
}

describe.each(CHIP_BOARDS)('the %s board with pins turned round', (board) => {
  const image = standImage(board, ownPins(board));
  let hex: string;
  const chipOf = (): AvrChip => new AvrChip(board, { hex, pins: image.board });
  beforeAll(() => {
    const folder = ownImageFolder(join(home, `${board}.yaml`));
    const manifest = buildStandImage(image, folder);
    expect(readManifest(folder)).toEqual(manifest);
    hex = readFileSync(join(folder, image.target.file), 'utf8');
  });

  it('tells a hash of its own', () => {
    const host = new ChipHost(board, chipOf());
    host.open(500);
    const { body } = host.reader.frames.find(({ type }) => type === TYPE.opened)!;
    const told = [...body.slice(10, 14)].reverse().map((byte) => byte.toString(16).padStart(2, '0'));
    expect(told.join('')).toBe(image.sources.slice(0, 8));
    expect(told.join('')).not.toBe(readManifest().sources.slice(0, 8));
  });

  it('drives every output at its off level from the first cycle on', () => {
    const chip = chipOf();
    const outputs = outputsOf(board);
    const wrong: string[] = [];
    const look = (): void => {
      for (const pin of outputs)
        if (levelOf(chip, pin) === onLevel(pin, true)) wrong.push(`${pin.signal} at cycle ${chip.cpu.cycles}`);
    };
    for (const pin of outputs) expect(levelOf(chip, pin), pin.signal).toBe(null);
    while (chip.ticks < 40 && wrong.length === 0) {
      chip.runCycles(1);
      look();
    }
    // Nor does anything come on while a link is opened.
    chip.write(frame(TYPE.open, 0, 0, [0x321, 100, 500, 3000, 0].flatMap(word)));
    for (let tick = 0; tick < 800 && wrong.length === 0; tick++) {
      chip.runTicks(1);
      look();
    }
    expect(wrong).toEqual([]);
    for (const pin of outputs) expect(levelOf(chip, pin), pin.signal).toBe(1 - onLevel(pin, true));
  });

  it('walks with the edges of the standard image, turned round', () => {
    const standard = walked(new AvrChip(board), board);
    const own = walked(chipOf(), board);
    expect([standard.enable, own.enable]).toEqual([0, 1]);
    expect(standard.steps.length).toBeGreaterThan(1000);
    // Every axis went both ways.
    for (let axis = 0; axis < axesOf(board); axis++)
      expect(new Set(standard.directions.map((levels) => levels[axis]))).toEqual(new Set(['0', '1']));
    expect(own.steps).toEqual(standard.steps.map((levels) => turnedRound(levels, 'step', board)));
    expect(own.directions).toEqual(standard.directions.map((levels) => turnedRound(levels, 'direction', board)));
    expect(own.watch.steps).toEqual(standard.watch.steps);
    expect(own.watch.leastLead).toBeGreaterThanOrEqual(CYCLES_PER_TICK - (6 * CPU_HZ) / 1e6);
    expect(own.watch.leastHigh).toBeGreaterThanOrEqual((10 * CPU_HZ) / 1e6);
  });

  it('halts at full speed within a tick, drives off within a tick and 6 us, and its tick is never too long', () => {
    const host = new ChipHost(board, chipOf());
    const { chip } = host;
    host.ready(50);
    host.walk(() => host.fastest(96));
    host.feed(() => host.fastest(24), 4000, true);
    expect(host.worst + SILICON[board]).toBeLessThan(CYCLES_PER_TICK);
    const enable = outputsOf(board).find(({ signal }) => signal === 'enable')!;
    expect(levelOf(chip, enable)).toBe(1);
    chip.runCycles(997);
    const watch = new EdgeWatch(chip);
    const opened = chip.cpu.cycles;
    chip.setInputs(INPUT.liftUp | INPUT.halt);
    while (levelOf(chip, enable) === 1 && chip.cpu.cycles - opened < 4 * CYCLES_PER_TICK) chip.runCycles(1);
    expect(chip.cpu.cycles - opened).toBeLessThanOrEqual(OFF_WITHIN);
    chip.runTicks(4000);
    expect(Math.max(...watch.lastRise) - opened).toBeLessThanOrEqual(CYCLES_PER_TICK);
    expect(host.status).toMatchObject({ stop: 1, lost: true });
    for (const pin of outputsOf(board))
      if (!pin.signal.startsWith('direction.')) expect(levelOf(chip, pin), pin.signal).toBe(1 - onLevel(pin, true));
  });

  it('takes an open contact for the mark, and counts the edge to it', () => {
    const host = new ChipHost(board, chipOf());
    const { chip } = host;
    host.ready(50);
    const { pins } = tableOf(board);
    const put = (signal: string, open: boolean): void => {
      const { port, bit } = pins.find((pin) => pin.signal === signal)!;
      const at = pinAddress(port);
      chip.cpu.data[at] = open ? chip.cpu.data[at]! | (1 << bit) : chip.cpu.data[at]! & ~(1 << bit);
      chip.runTicks(200);
    };
    for (const signal of OPENING[board]) {
      const bit = BITS[signal]!;
      put(signal, false);
      const before = host.report();
      expect(before.inputs & bit, signal).toBe(0);
      put(signal, true);
      const after = host.report();
      expect(after.inputs, signal).toBe(before.inputs | bit);
      expect(after.indexCount - before.indexCount).toBe(signal === 'index' ? 1 : 0);
      put(signal, false);
      expect(host.report().inputs, signal).toBe(before.inputs);
    }
  });
});
