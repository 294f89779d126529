/**
 * A line that damages what it carries, by a seeded generator: what is written is lost, repeated, held back behind the next, or
 * has a bit flipped, a byte lost, a byte of noise put in, or its end cut off.
 */
import type { BytePipe } from '../../firmware-host/stand/byte-pipe';
import { seeded } from './random';

export type Fault = 'drop' | 'repeat' | 'swap' | 'flip' | 'lose' | 'noise' | 'cut';
export const FAULTS: readonly Fault[] = ['drop', 'repeat', 'swap', 'flip', 'lose', 'noise', 'cut'];

export interface FaultyPipeOptions {
  seed: number;
  faults: readonly Fault[];
  /** Chance of a fault for each message to the stand, and for each piece of what it answers. */
  toStand: number;
  toHost: number;
}

export class FaultyPipe implements BytePipe {
  /** Nothing is damaged while false. */
  on = false;
  /** Faults done so far. */
  done = 0;
  private readonly random: () => number;
  private readonly heldBack: { toStand: Uint8Array | undefined; toHost: Uint8Array | undefined };

  constructor(
    private readonly inner: BytePipe,
    private readonly options: FaultyPipeOptions,
  ) {
    this.random = seeded(options.seed);
    this.heldBack = { toStand: undefined, toHost: undefined };
  }

  write(bytes: Uint8Array): void {
    this.carry('toStand', bytes, (piece) => this.inner.write(piece));
  }

  onBytes(listener: (bytes: Uint8Array) => void): void {
    this.inner.onBytes((bytes) => this.carry('toHost', bytes, listener));
  }

  onClose(listener: (words: string) => void): void {
    this.inner.onClose(listener);
  }

  close(): Promise<void> {
    return this.inner.close();
  }

  private carry(way: 'toStand' | 'toHost', bytes: Uint8Array, on: (bytes: Uint8Array) => void): void {
    const behind = this.heldBack[way];
    this.heldBack[way] = undefined;
    if (!this.on || this.random() >= this.options[way]) on(bytes);
    else {
      this.done++;
      const fault = this.options.faults[this.below(this.options.faults.length)]!;
      if (fault === 'repeat') {
        on(bytes);
        on(bytes);
      } else if (fault === 'swap') this.heldBack[way] = bytes.slice();
      else if (fault !== 'drop') on(this.damaged(fault, bytes));
    }
    if (behind !== undefined) on(behind);
  }

  private damaged(fault: Exclude<Fault, 'drop' | 'repeat' | 'swap'>, bytes: Uint8Array): Uint8Array {
    const at = this.below(bytes.length);
    if (fault === 'cut') return bytes.slice(0, at);
    if (fault === 'lose') return Uint8Array.from([...bytes.subarray(0, at), ...bytes.subarray(at + 1)]);
    if (fault === 'noise')
      return Uint8Array.from([...bytes.subarray(0, at), this.notReset(this.below(256)), ...bytes.subarray(at)]);
    const flipped = bytes.slice();
    flipped[at] = this.notReset(flipped[at]! ^ (1 << this.below(8)));
    return flipped;
  }

  /** 0xFF is a command of its own, with tests of its own. */
  private notReset(byte: number): number {
    return byte === 0xff ? 0xfe : byte;
  }

  private below(limit: number): number {
    return Math.floor(this.random() * limit);
  }
}
