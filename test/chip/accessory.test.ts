/** Accessory pins of SPEC 7: by an unmodified firmata-io on the virtual board, and on the ports of an emulated chip. */
import { Firmata } from 'firmata-io';
import { describe, expect, it } from 'vitest';
import { FirmataTransport } from '../../firmware-host/stand/firmata-transport';
import { AvrChip } from '../../firmware-host/virtual/chip/avr-chip';
import { pinAddress } from '../../firmware-host/virtual/chip/avr-parts';
import { OPEN, Rig } from '../support/rig';
import { frame, Reader, word } from './frames';

function client(): { rig: Rig; io: Firmata } {
  const rig = new Rig();
  const transport = new FirmataTransport(rig.link);
  const io = new Firmata(transport);
  transport.open();
  rig.advance(0.5);
  expect(io.isReady).toBe(true);
  return { rig, io };
}

describe('a stock client on the virtual board', () => {
  it('switches a pump by an output that begins low', () => {
    const { rig, io } = client();
    expect(rig.stand.accessory(0)).toBe('input');
    io.pinMode(42, io.MODES.OUTPUT);
    rig.advance(0.05);
    expect(rig.stand.accessory(0)).toBe('low');
    io.digitalWrite(42, 1);
    rig.advance(0.05);
    expect(rig.stand.accessory(0)).toBe('high');
    io.digitalWrite(42, 0);
    rig.advance(0.05);
    expect(rig.stand.accessory(0)).toBe('low');
  });

  it('hears a foot switch at once and again when it is released', () => {
    const { rig, io } = client();
    const heard: number[] = [];
    io.pinMode(49, io.MODES.PULLUP);
    io.digitalRead(49, (value) => heard.push(value));
    rig.advance(0.05);
    expect(rig.stand.accessory(7)).toBe('pulled up');
    rig.stand.setContact(7, false);
    rig.advance(0.05);
    rig.stand.setContact(7, true);
    rig.advance(0.05);
    expect(heard).toEqual([1, 0, 1]);
  });

  it('reads two sensors in turn, once an interval each', () => {
    const { rig, io } = client();
    const heard: [number, number][] = [];
    rig.stand.setAnalog(0, 1023);
    rig.stand.setAnalog(2, 300);
    io.setSamplingInterval(100);
    for (const channel of [0, 2]) io.analogRead(channel, (value) => heard.push([channel, value]));
    rig.advance(1);
    const of = (channel: number): number[] => heard.filter(([one]) => one === channel).map(([, value]) => value);
    expect(of(0).every((value) => value === 1023)).toBe(true);
    expect(of(2).every((value) => value === 300)).toBe(true);
    for (const channel of [0, 2]) expect(Math.abs(of(channel).length - 10)).toBeLessThanOrEqual(1);
  });

  it('has its outputs taken back when the host falls silent, and gets them again by asking', async () => {
    const { rig, io } = client();
    await rig.settle(rig.link.open(OPEN));
    io.pinMode(42, io.MODES.OUTPUT);
    io.digitalWrite(42, 1);
    rig.advance(0.2);
    expect(rig.stand.accessory(0)).toBe('high');
    rig.hang(true);
    rig.advance(1);
    expect(rig.stand.accessory(0)).toBe('input');
    rig.hang(false);
    rig.advance(0.3);
    expect(rig.stand.accessory(0)).toBe('input');
    io.pinMode(42, io.MODES.OUTPUT);
    io.digitalWrite(42, 1);
    rig.advance(0.1);
    expect(rig.stand.accessory(0)).toBe('high');
    expect(rig.status.latchedStop).toBeNull();
  });

  it('reports do not hold up the walk', async () => {
    const { rig, io } = client();
    await rig.ready();
    io.setSamplingInterval(10);
    for (const channel of [0, 1, 2]) io.analogRead(channel, () => {});
    const before = rig.status.clockSeconds;
    let reports = 0;
    rig.link.onStatus(() => reports++);
    rig.advance(2);
    // 25 a second, as without.
    expect(reports).toBeGreaterThanOrEqual(48);
    expect(rig.status.clockSeconds - before).toBeGreaterThan(1.9);
    expect(Object.values(rig.link.counters()).every((count) => count === 0)).toBe(true);
  });
});

describe.each([
  ['reference', 43, 'L', 6],
  ['small', 13, 'B', 5],
] as const)('the image of the %s board', (board, pin, port, bit) => {
  function chipWithPin() {
    const chip = new AvrChip(board);
    const reader = new Reader();
    chip.onByte = (byte) => reader.take([byte]);
    chip.runTicks(2000);
    const at = pinAddress(port);
    const registers = (): [number, number] => [
      (chip.cpu.data[at + 1]! >> bit) & 1,
      (chip.cpu.data[at + 2]! >> bit) & 1,
    ];
    return { chip, reader, at, registers };
  }

  it('drives an accessory pin, and takes it back when the host falls silent', () => {
    const { chip, registers } = chipWithPin();
    expect(registers()).toEqual([0, 0]);
    chip.write(frame(0x01, 0, 0, [77, 100, 100, 1000, 1].flatMap(word)));
    chip.write([0xf4, pin, 1, 0xf5, pin, 1]);
    chip.runTicks(2000);
    expect(registers()).toEqual([1, 1]);
    chip.runTicks(4000);
    expect(registers()).toEqual([0, 0]);
  });

  it('tells the level of a contact when it is asked to, and when it changes', () => {
    const { chip, reader, at, registers } = chipWithPin();
    reader.others.length = 0;
    chip.write([0xf4, pin, 0x0b, 0xd0 | (pin >> 3), 1]);
    chip.runTicks(2000);
    expect(registers()).toEqual([0, 1]);
    chip.cpu.data[at]! |= 1 << bit;
    chip.runTicks(2000);
    const level = 1 << (pin & 7);
    const message = (levels: number): number[][] => [[0x90 | (pin >> 3)], [levels & 0x7f], [levels >> 7]];
    expect(reader.others).toEqual([...message(0), ...message(level)]);
  });

  it('tells what its converter reads, of the channel that was asked for, once an interval', () => {
    const { chip, reader } = chipWithPin();
    reader.others.length = 0;
    chip.setAnalog(0, 700);
    chip.setAnalog(1, 1023);
    chip.write([0xf0, 0x7a, 50, 0, 0xf7, 0xc1, 1]);
    chip.runTicks(8200);
    const values = (channel: number): number[] =>
      reader.others.flatMap(([byte], i, all) =>
        byte === (0xe0 | channel) ? [all[i + 1]![0]! | (all[i + 2]![0]! << 7)] : [],
      );
    expect(values(0)).toEqual([]);
    expect(values(1)).toEqual([1023, 1023, 1023, 1023]);
    chip.write([0xc0, 1, 0xc1, 0]);
    reader.others.length = 0;
    chip.runTicks(5000);
    const [first, ...others] = values(0);
    expect(first).toBe(700);
    expect(others.slice(0, 1)).toEqual([700]);
  });
});
