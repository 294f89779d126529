/** The WebAssembly core where a host of the emulated chips expects one of these: the same line, inputs and steps, without cycles. */
import { VirtualBoard } from '../../firmware-host/controller/wasm/load';
import type { AvrChip } from '../../firmware-host/virtual/chip/avr-chip';
import { ChipHost } from './chip-host';

class CoreChip {
  readonly board = { axes: 5 };
  onByte: ((byte: number) => void) | null = null;
  onStep: ((step: number, direction: number) => void) | null = null;
  private readonly core = new VirtualBoard();

  constructor() {
    this.core.boot(1, 1);
    this.core.recordSteps(true);
  }

  get ticks(): number {
    return this.core.now;
  }

  get unsent(): number {
    return this.core.unread;
  }

  write(bytes: ArrayLike<number>): void {
    if (this.core.write(bytes) < bytes.length) throw new Error('more bytes at once than the board has room for');
  }

  setInputs(asserted: number): void {
    this.core.force(asserted, 0xffff & ~asserted);
  }

  runTicks(ticks: number): void {
    this.core.run(ticks);
    for (const byte of this.core.read()) this.onByte?.(byte);
    for (const { step, direction } of this.core.drainSteps()) this.onStep?.(step, direction);
  }
}

/** A host on the line of the core. What needs pins, cycles or copies of an emulated chip is not there. */
export function coreHost(): ChipHost {
  return new ChipHost('reference', new CoreChip() as unknown as AvrChip);
}
