/** What a sensor means, and when it is beyond its bounds. */
import type { SensorRule } from '../../planner/stand/accessories';

/** Share of the scale by which a value must come back inside before it may complain again. */
const BACK_SHARE = 0.005;

export class SensorWatch {
  private value: number | null = null;
  private outside = false;

  constructor(
    readonly name: string,
    private readonly rule: SensorRule,
  ) {}

  /** Takes a reading, 0..1 of the supply. Returns true once when it goes beyond its bounds. */
  take(reading: number | null): boolean {
    this.value = reading === null ? null : this.valueOf(reading);
    if (this.value === null) return false;
    const { least, most, atZero, atFull } = this.rule;
    const margin = this.outside ? Math.abs(atFull - atZero) * BACK_SHARE : 0;
    const before = this.outside;
    this.outside = (least !== null && this.value < least + margin) || (most !== null && this.value > most - margin);
    return this.outside && !before;
  }

  /** The value with its unit. */
  words(): string {
    if (this.value === null) return 'no reading';
    return this.outside ? `${this.shown(this.value)}, ${this.boundWords()}` : this.shown(this.value);
  }

  private boundWords(): string {
    const { least, most } = this.rule;
    return most !== null && this.value! > most - 1e-9
      ? `more than ${this.shown(most)}`
      : least !== null
        ? `at least ${this.shown(least)} is wanted`
        : 'beyond its bounds';
  }

  private valueOf(reading: number): number {
    return this.rule.atZero + (this.rule.atFull - this.rule.atZero) * reading;
  }

  private shown(value: number): string {
    switch (this.rule.measures) {
      case 'temperature':
        return `${value.toFixed(1)} °C`;
      case 'moisture':
        return `${(100 * value).toFixed(0)} %`;
      case 'flow':
        return value.toFixed(1);
    }
  }
}
