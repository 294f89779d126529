/** Accessories of a rehearsal: relays that only remember, sensors that read what they are told. */
import type { Kit } from './kit';

export class ModelKit implements Kit {
  readonly on = new Set<number>();
  private readonly readings = new Map<number, number>();
  private pressed = (): void => {};

  /** A sensor reads this share of the supply from now on; without it, half. */
  setReading(channel: number, share: number): void {
    this.readings.set(channel, share);
  }

  press(): void {
    this.pressed();
  }

  set(pin: number, on: boolean): void {
    if (on) this.on.add(pin);
    else this.on.delete(pin);
  }

  reading(channel: number): number {
    return this.readings.get(channel) ?? 0.5;
  }

  onFootSwitch(listener: () => void): void {
    this.pressed = listener;
  }

  renew(): void {}

  close(): void {
    this.on.clear();
  }
}
