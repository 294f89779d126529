/**
 * Register and vector addresses of the two chips as avr8js wants them (data sheets ATmega640/1280/1281/2560/2561 and
 * ATmega48A..328P). avr8js brings those of the ATmega328P; on the ATmega2560 the registers used here stand at the same
 * addresses, and a vector is at twice its number (less one), counted in words.
 */
import { type AVREEPROMConfig, type AVRTimerConfig, eepromConfig, timer1Config, usart0Config } from 'avr8js';
import type { PinBoard } from '../../controller/pin-table';

export interface AvrParts {
  flashBytes: number;
  /** Data space above the first 256 bytes, as avr8js counts it. */
  ramBytes: number;
  /** RAM proper, at the end of the data space. */
  sramBytes: number;
  timer1: AVRTimerConfig;
  usart0: typeof usart0Config;
  eeprom: AVREEPROMConfig;
  eepromBytes: number;
}

const small: AvrParts = {
  flashBytes: 0x8000,
  ramBytes: 2048,
  sramBytes: 2048,
  timer1: timer1Config,
  usart0: usart0Config,
  eeprom: eepromConfig,
  eepromBytes: 1024,
};

const reference: AvrParts = {
  flashBytes: 0x40000,
  // Registers take 0x200 bytes here, 0x100 more than avr8js counts by itself; RAM ends at 0x21FF.
  ramBytes: 0x2200 - 0x100,
  sramBytes: 0x2000,
  timer1: {
    ...timer1Config,
    captureInterrupt: 0x20,
    compAInterrupt: 0x22,
    compBInterrupt: 0x24,
    compCInterrupt: 0x26,
    ovfInterrupt: 0x28,
  },
  usart0: {
    ...usart0Config,
    rxCompleteInterrupt: 0x32,
    dataRegisterEmptyInterrupt: 0x34,
    txCompleteInterrupt: 0x36,
  },
  eeprom: { ...eepromConfig, eepromReadyInterrupt: 0x3c },
  eepromBytes: 4096,
};

export const AVR_PARTS: Record<PinBoard['chip'], AvrParts> = { ATmega2560: reference, ATmega328P: small };

/** Data address of PINx; DDRx and PORTx follow it. */
export function pinAddress(port: string): number {
  const place = 'ABCDEFG'.indexOf(port);
  if (place >= 0) return 0x20 + 3 * place;
  const high = 'HJKL'.indexOf(port);
  if (high < 0) throw new Error(`no port ${port}`);
  return 0x100 + 3 * high;
}
