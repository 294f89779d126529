import { describe, expect, it } from 'vitest';
import { AvrChip, CPU_HZ, CYCLES_PER_TICK } from '../../firmware-host/virtual/chip/avr-chip';
import { CHIP_BOARDS, ChipHost, LINK, SILICON } from './chip-host';
import { INPUT, TYPE } from './desk-host';
import { frame, Reader, word } from './frames';

const LIFT_UP = INPUT.liftUp;

describe.each(CHIP_BOARDS)('the image of the %s board', (board) => {
  it('walks all axes at 20,000 steps/s from 96-tick segments within the tick, and loses no byte', () => {
    const host = new ChipHost(board);
    const idle = host.meanTick();
    host.ready(100);
    host.walk(() => host.fastest(96));
    host.meanTick();
    let edges = 0;
    host.chip.onStep = (mask) => {
      for (let axis = 0; axis < 5; axis++) edges += (mask >> axis) & 1;
    };
    host.feed(() => host.fastest(96), 20_000);
    const busy = host.meanTick();
    const { underruns, droopTicks, counters } = host.status;
    console.log(
      `${board} board: tick ${idle.toFixed(0)} cycles idle, ${busy.toFixed(0)} busy, ${host.worst} at worst of ${CYCLES_PER_TICK}; ` +
        `${(edges * 2).toFixed(0)} steps/s (avr8js; 2 to 3 cycles more on silicon)`,
    );
    expect(host.worst + SILICON[board]).toBeLessThan(CYCLES_PER_TICK);
    expect(busy).toBeLessThan(0.6 * CYCLES_PER_TICK);
    expect(edges * 2).toBeGreaterThan(0.999 * 20_000 * host.chip.board.axes);
    expect({ underruns, lost: host.chip.bytesLost, counters }).toEqual({
      underruns: 0,
      lost: 0,
      counters: Array(8).fill(0),
    });
    expect(droopTicks).toBe(0);
  });

  it('takes 2,000 segments a second, each axis at full speed', () => {
    const host = new ChipHost(board);
    host.ready(50);
    host.walk(() => host.fastest(96));
    const shortest = host.fastest(20);
    host.feed(() => shortest, 16_000);
    const pushed = host.feed(() => shortest, 20_000);
    console.log(`${board} board: ${pushed * 2} segments of 20 ticks a second at level ${host.status.level}`);
    expect(pushed * 2).toBeGreaterThan(1950);
    expect(host.chip.bytesLost).toBe(0);
    expect(host.status.underruns).toBe(0);
    expect(host.worst + SILICON[board]).toBeLessThan(CYCLES_PER_TICK);
  });

  it('halt: no STEP rises later than a tick after the contact opens, drives off within a tick and 6 us', () => {
    const host = new ChipHost(board);
    host.ready(50);
    host.walk(() => host.fastest(96));
    let worstEdge = 0;
    let worstOff = 0;
    for (let trial = 0; trial < 3; trial++) {
      host.chip.runCycles(997 + 133 * trial);
      const opened = host.chip.cpu.cycles;
      host.chip.setInputs(LIFT_UP | INPUT.halt);
      host.chip.onStep = () => {
        worstEdge = Math.max(worstEdge, host.chip.cpu.cycles - opened);
      };
      while (host.chip.isOn('enable')) host.chip.runCycles(1);
      worstOff = Math.max(worstOff, host.chip.cpu.cycles - opened);
      host.chip.runTicks(4000);
      expect(host.status.stop).toBe(1);
      expect(host.status.lost).toBe(true);
      host.chip.onStep = null;
      host.chip.setInputs(LIFT_UP);
      host.chip.runTicks(400);
      host.send(TYPE.flush, []);
      host.send(TYPE.clear, []);
      host.send(TYPE.drives, [1]);
      host.chip.runTicks(2000);
      host.walk(() => host.fastest(96));
    }
    const us = (cycles: number): number => (cycles / CPU_HZ) * 1e6;
    console.log(
      `${board} board: halt to last STEP edge ${us(worstEdge).toFixed(1)} us, to drives off ${us(worstOff).toFixed(1)} us`,
    );
    expect(worstEdge).toBeLessThanOrEqual(CYCLES_PER_TICK);
    expect(worstOff).toBeLessThanOrEqual(CYCLES_PER_TICK + (6 * CPU_HZ) / 1e6);
  });

  it('stays all ear when everything is open that can be', () => {
    const host = new ChipHost(board);
    host.ready(50);
    host.walk(() => host.fastest(96));
    host.chip.setInputs(INPUT.halt | INPUT.guard | INPUT.fault | INPUT.index | 0x00f0);
    host.chip.runTicks(4000);
    host.meanTick();
    for (let i = 0; i < 60; i++) host.send(TYPE.segments, host.fastest(96));
    host.chip.runTicks(8000);
    expect(host.meanTick()).toBeLessThan(0.6 * CYCLES_PER_TICK);
    expect(host.chip.bytesLost).toBe(0);
    expect(host.status.stop).toBe(1);
    expect(host.status.counters.slice(0, 7)).toEqual(Array(7).fill(0));
  });

  it('starts with no output on for a single cycle, counts its boots, and tells why it booted', () => {
    const chip = new AvrChip(board, { resetFlags: 8 });
    chip.setInputs(LIFT_UP);
    const reader = new Reader();
    chip.onByte = (byte) => reader.take([byte]);
    let edges = 0;
    chip.onStep = () => edges++;
    while (chip.ticks < 40) {
      chip.runCycles(1);
      if (chip.isOn('enable') || chip.isOn('lower')) throw new Error(`an output is on at cycle ${chip.cpu.cycles}`);
    }
    chip.runTicks(6000);
    const open = frame(TYPE.open, 0, 0, [LINK, 100, 500, 3000, 0].flatMap(word));
    chip.write(open);
    chip.runTicks(1600);
    const first = reader.frames.find(({ type }) => type === TYPE.opened)!;
    expect(first.body.slice(1, 4)).toEqual([1, 0, 4]); // boot 1, watchdog
    expect(first.body[4]).toBe(chip.board.code);
    expect(edges).toBe(0);

    const again = new AvrChip(board, { eeprom: chip.eeprom, resetFlags: 4 });
    const readerAgain = new Reader();
    again.onByte = (byte) => readerAgain.take([byte]);
    again.runTicks(6000);
    again.write(open);
    again.runTicks(1600);
    expect(readerAgain.frames.find(({ type }) => type === TYPE.opened)!.body.slice(1, 4)).toEqual([2, 0, 3]);
  });

  it('answers long Firmata queries at full line rate while it walks, without losing a byte', () => {
    const host = new ChipHost(board);
    host.ready(50);
    host.walk(() => host.fastest(96));
    for (let i = 0; i < 10; i++) {
      host.chip.write([0xf9, 0xf0, 0x79, 0xf7, 0xf0, 0x6b, 0xf7, 0xf0, 0x69, 0xf7]);
      host.feed(() => host.fastest(96), 400);
    }
    host.feed(() => host.fastest(96), 4000);
    const { firmataPins, pins } = host.chip.board;
    const modes: number[][] = Array.from({ length: firmataPins }, () => [0x7f]);
    for (const pin of pins) {
      if (pin.kind === 'accessory') modes[pin.firmataPin] = [0, 1, 1, 1, 0x0b, 1, 0x7f];
      if (pin.kind === 'analog') modes[pin.firmataPin] = [2, 10, 0x7f];
    }
    const answers = host.reader.others.filter((bytes) => bytes[0] === 0x6c);
    // Questions of a kind that come while one waits are answered once.
    expect(answers.length).toBeGreaterThanOrEqual(1);
    for (const answer of answers) expect(answer).toEqual([0x6c, ...modes.flat()]);
    expect(host.chip.bytesLost).toBe(0);
    expect(host.status.counters).toEqual(Array(8).fill(0));
    expect(host.status.underruns).toBe(0);
  });

  it('feeds its watchdog, and only while the tick is alive', () => {
    const host = new ChipHost(board);
    host.chip.runTicks(20_000);
    expect(host.chip.watchdogBit).toBe(false);
    host.chip.cpu.data[0x6f] = 0; // TIMSK1: the tick is switched off behind its back
    host.chip.runCycles(CPU_HZ / 2);
    expect(host.chip.watchdogBit).toBe(true);
  });
});
