/**
 * The chip's watchdog, as far as an image that only resets by it needs one: it bites when the image has set it (WDE) and not fed it for
 * the time its prescaler says. 128 kHz, typical by the data sheets; on silicon it is up to a tenth off.
 */
import type { CPU } from 'avr8js';

const WDTCSR = 0x60;
const WDE = 0x08;
/** Cycles of a 16 MHz clock in the shortest time-out: 2,048 of 128 kHz. */
const SHORTEST_CYCLES = 2048 * 125;

export class Watchdog {
  private fedAt = 0;

  /** `after`: a watchdog reset leaves it on, at its shortest time-out. */
  constructor(
    private readonly cpu: CPU,
    after: boolean,
  ) {
    if (after) cpu.data[WDTCSR] = WDE;
    cpu.onWatchdogReset = () => {
      this.fedAt = cpu.cycles;
    };
  }

  /** Whether it would reset the chip now. */
  bites(): boolean {
    const set = this.cpu.data[WDTCSR]!;
    if ((set & WDE) === 0) return false;
    const prescaler = (set & 0x07) | ((set & 0x20) >> 2);
    return this.cpu.cycles - this.fedAt > SHORTEST_CYCLES << prescaler;
  }
}
