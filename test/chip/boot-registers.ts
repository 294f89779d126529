/** What an image stores to the registers of timer, line and EEPROM, and when. */
import { expect } from 'vitest';
import { AvrChip, CYCLES_PER_TICK } from '../../firmware-host/virtual/chip/avr-chip';
import { AVR_PARTS } from '../../firmware-host/virtual/chip/avr-parts';
import { type ChipBoard, ChipHost } from './chip-host';

/** Data addresses of both chips (test/ci/chip-headers.test.ts holds them against avr-libc's headers). */
const ADDRESS = {
  TIMSK1: 0x6f,
  TCCR1A: 0x80,
  TCCR1B: 0x81,
  OCR1AL: 0x88,
  OCR1AH: 0x89,
  UCSR0A: 0xc0,
  UCSR0B: 0xc1,
  UCSR0C: 0xc2,
  UBRR0L: 0xc4,
  UBRR0H: 0xc5,
} as const;
type Register = keyof typeof ADDRESS;

/** Clear timer on compare, clock of the chip. */
const CTC = 0x08 | 0x01;
const OCIE1A = 0x02;
const EIGHT_BITS = 0x06;
const RXCIE_RXEN_TXEN = 0x80 | 0x10 | 0x08;
const EEPE = 0x02;

interface Store {
  register: Register;
  value: number;
}

function watched(chip: AvrChip): Store[] {
  const stores: Store[] = [];
  const { writeHooks } = chip.cpu;
  for (const [register, address] of Object.entries(ADDRESS) as [Register, number][]) {
    const before = writeHooks[address];
    writeHooks[address] = (value, old, at, mask) => {
      stores.push({ register, value });
      return before?.(value, old, at, mask);
    };
  }
  return stores;
}

/**
 * Timer and line are set up once, compare value before clock, and left alone in a walk; 250,000 baud come from a divisor that is exact
 * without the double speed, and there is no interrupt for an empty data register (one store that enables it with the transmitter would
 * hang in avr8js; nothing of ours may rest on that).
 */
export function expectSetUpOnce(board: ChipBoard): void {
  const chip = new AvrChip(board);
  const stores = watched(chip);
  const host = new ChipHost(board, chip);
  host.ready(50);
  host.walk(() => host.fastest(96));
  const of = (register: Register): number[] =>
    stores.filter((store) => store.register === register).map(({ value }) => value);
  const place = (register: Register): number => stores.findIndex((store) => store.register === register);

  expect((of('OCR1AH')[0]! << 8) | of('OCR1AL')[0]!).toBe(CYCLES_PER_TICK - 1);
  expect(of('TCCR1B')).toEqual([CTC]);
  expect(of('TCCR1A')).toEqual([0]);
  expect(of('TIMSK1')).toEqual([OCIE1A]);
  expect(place('OCR1AL')).toBeLessThan(place('TCCR1B'));
  // 16 MHz / 16 / 250,000 - 1.
  expect(of('UBRR0L').at(-1)).toBe(3);
  expect(of('UBRR0H').every((value) => value === 0)).toBe(true);
  expect(of('UCSR0C')).toEqual([EIGHT_BITS]);
  expect(of('UCSR0B')).toEqual([RXCIE_RXEN_TXEN]);
  expect(of('UCSR0A')).toEqual([]);
  for (const register of ['OCR1AL', 'OCR1AH', 'UBRR0L', 'UBRR0H'] as const)
    expect(of(register).length).toBeLessThanOrEqual(1);
}

/** The EEPROM is written while the chip boots, two bytes at most, and never afterwards: its cells last for 100,000 writes. */
export function expectEepromWrittenAtBoot(board: ChipBoard): void {
  const chip = new AvrChip(board);
  const { EECR } = AVR_PARTS[chip.board.chip].eeprom;
  const { writeHooks } = chip.cpu;
  const before = writeHooks[EECR]!;
  const writes: number[] = [];
  writeHooks[EECR] = (value, old, at, mask) => {
    if (value & EEPE && !(old & EEPE)) writes.push(chip.ticks);
    return before(value, old, at, mask);
  };
  const host = new ChipHost(board, chip);
  host.ready(50);
  host.walk(() => host.fastest(96));
  host.chip.setInputs(0x0001);
  host.chip.runTicks(4000);
  expect(host.status.stop).toBe(1);
  expect(writes.length).toBeGreaterThan(0);
  expect(writes.length).toBeLessThanOrEqual(2);
  // Before the first tick: interrupts are off, and nothing comes between the two stores that begin a write.
  expect(writes.every((ticks) => ticks === 0)).toBe(true);
}
