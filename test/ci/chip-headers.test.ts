/** The emulator's registers and vectors are those of avr-libc's headers, for both chips; the image's sizes, printed and bounded. */
import { execFileSync } from 'node:child_process';
import { adcConfig } from 'avr8js';
import { describe, expect, it } from 'vitest';
import { readManifest } from '../../firmware-host/controller/images';
import { readPins } from '../../firmware-host/controller/pin-table';
import { AVR_PARTS, pinAddress } from '../../firmware-host/virtual/chip/avr-parts';
import { Life } from '../chip/life';
import { RecordedChip } from '../chip/lockstep';
import { Seeded } from '../chip/seeded';

/** Preprocesses `avr/io.h` for a chip and evaluates expressions: addresses of registers, numbers of vectors, sizes. */
function fromHeaders(chip: string, names: readonly string[]): number[] {
  const source = ['#define __SFR_OFFSET 0x20', '#define _SFR_ASM_COMPAT 1', '#include <avr/io.h>']
    .concat(names.map((name, i) => `@@${i} ${name}`))
    .join('\n');
  const out = execFileSync('avr-gcc', [`-mmcu=${chip.toLowerCase()}`, '-E', '-P', '-'], {
    input: source,
    encoding: 'utf8',
  });
  return names.map((name, i) => {
    const text = out.match(new RegExp(`^@@${i} (.*)$`, 'm'))?.[1] ?? '';
    if (!/^[()0-9a-fA-FxX+\-*/ ]+$/.test(text)) throw new Error(`${chip}: the headers say "${text}" of ${name}`);
    return Number(new Function(`return ${text};`)());
  });
}

describe.each(readPins().map((board) => [board.chip, board] as const))('%s', (chip, board) => {
  const parts = AVR_PARTS[chip];

  it('has its registers where the emulator has them', () => {
    const { timer1, usart0, eeprom } = parts;
    const wanted = {
      TCCR1A: timer1.TCCRA,
      TCCR1B: timer1.TCCRB,
      TCNT1: timer1.TCNT,
      OCR1A: timer1.OCRA,
      TIMSK1: timer1.TIMSK,
      TIFR1: timer1.TIFR,
      UCSR0A: usart0.UCSRA,
      UCSR0B: usart0.UCSRB,
      UCSR0C: usart0.UCSRC,
      UBRR0L: usart0.UBRRL,
      UBRR0H: usart0.UBRRH,
      UDR0: usart0.UDR,
      EECR: eeprom.EECR,
      EEDR: eeprom.EEDR,
      EEARL: eeprom.EEARL,
      ADMUX: adcConfig.ADMUX,
      ADCSRA: adcConfig.ADCSRA,
      ADCL: adcConfig.ADCL,
      WDTCSR: 0x60,
      MCUSR: 0x54,
      GPIOR0: 0x3e,
      GPIOR1: 0x4a,
      GPIOR2: 0x4b,
    };
    const names = Object.keys(wanted);
    const said = fromHeaders(chip, names);
    expect(Object.fromEntries(names.map((name, i) => [name, said[i]]))).toEqual(wanted);
  });

  it('has its vectors and its memory where the emulator has them', () => {
    const usart = chip === 'ATmega2560' ? 'USART0_RX_vect_num' : 'USART_RX_vect_num';
    const [tick, receive, flash, ram, eeprom] = fromHeaders(chip, [
      'TIMER1_COMPA_vect_num',
      usart,
      'FLASHEND',
      'RAMEND',
      'E2END',
    ]);
    // A vector is a jump of two words.
    expect([parts.timer1.compAInterrupt, parts.usart0.rxCompleteInterrupt]).toEqual([2 * tick!, 2 * receive!]);
    expect([parts.flashBytes, parts.ramBytes + 0x100, parts.eepromBytes]).toEqual([flash! + 1, ram! + 1, eeprom! + 1]);
  });

  it('has its ports where the emulator has them', () => {
    const ports = [...new Set(board.pins.flatMap(({ port }) => (port.length === 1 ? [port] : [])))];
    const names = ports.flatMap((port) => [`PIN${port}`, `DDR${port}`, `PORT${port}`]);
    const at = ports.flatMap((port) => [0, 1, 2].map((i) => pinAddress(port) + i));
    expect(fromHeaders(chip, names)).toEqual(at);
  });

  it('has room left in flash, RAM and stack', () => {
    const image = readManifest().images.find((one) => one.board === board.board)!;
    const recorded = new RecordedChip(board.board);
    new Life(recorded, new Seeded(31), 'stumble').run(40_000);
    const stack = recorded.chip.stackBytes(image.ramBytes);
    const room = parts.sramBytes - image.ramBytes;
    console.log(
      `${chip}: flash ${image.flashBytes} of ${parts.flashBytes}, RAM ${image.ramBytes} of ${parts.sramBytes}, stack ${stack} of ${room} bytes`,
    );
    expect(image.flashBytes).toBeLessThan(0.5 * parts.flashBytes);
    expect(room).toBeGreaterThanOrEqual(400);
    expect(stack).not.toBeNull();
    // Four times what is ever seen: an interrupt's frame and the longest chain of calls fit twice over.
    expect(4 * stack!).toBeLessThan(room);
  });
});
