/**
 * Looks at the STEP and DIR pins of an emulated chip, cycle by cycle, and keeps what a drive would mind. Where the chip's pin table turns
 * them round, a rising edge is a falling one on the pin, and DIR is negative when low.
 */
import { offLevels } from '../../firmware-host/controller/pin-table';
import { type AvrChip, CYCLES_PER_TICK } from '../../firmware-host/virtual/chip/avr-chip';
import { pinAddress } from '../../firmware-host/virtual/chip/avr-parts';

export class EdgeWatch {
  /** Rising edges of each axis, both ways added and with sign. */
  readonly rises: number[];
  readonly steps: number[];
  /** Shortest STEP high and low, cycles. */
  leastHigh = Number.POSITIVE_INFINITY;
  leastLow = Number.POSITIVE_INFINITY;
  /** Least cycles from a change of DIR to the next rising STEP of that axis, and from a rising STEP to the next change. */
  leastLead = Number.POSITIVE_INFINITY;
  leastHold = Number.POSITIVE_INFINITY;
  reversals = 0;
  /** Cycle of each axis's last rising edge. */
  readonly lastRise: number[];
  /** Least and most cycles from one rising edge to the next, each axis. */
  readonly leastGap: number[];
  readonly mostGap: number[];
  /** How many rising edges came at each cycle of the tick grid. */
  readonly phases = new Uint32Array(CYCLES_PER_TICK);
  private readonly lastFall: number[];
  private readonly lastTurn: number[];

  constructor(private readonly chip: AvrChip) {
    const { axes, pins } = chip.board;
    const fill = (value: number): number[] => Array.from({ length: axes }, () => value);
    this.rises = fill(0);
    this.steps = fill(0);
    this.lastRise = fill(Number.NEGATIVE_INFINITY);
    this.lastFall = fill(Number.NEGATIVE_INFINITY);
    this.lastTurn = fill(Number.NEGATIVE_INFINITY);
    this.leastGap = fill(Number.POSITIVE_INFINITY);
    this.mostGap = fill(0);
    const first = (signal: string) => pins.find((pin) => pin.signal === signal)!;
    const step = first('step.turntable');
    const direction = first('direction.turntable');
    const mask = (1 << axes) - 1;
    const stepOff = offLevels(chip.board, 'step');
    const directionOff = offLevels(chip.board, 'direction');
    const directionPort = pinAddress(direction.port) + 2;
    this.hook(pinAddress(step.port) + 2, (value, old) => {
      const changed = ((value ^ old) >> step.bit) & mask;
      if (changed === 0) return;
      const ways = (chip.cpu.data[directionPort]! ^ directionOff) >> direction.bit;
      const on = (value ^ stepOff) >> step.bit;
      for (let axis = 0; axis < axes; axis++) {
        if ((changed & (1 << axis)) === 0) continue;
        if (on & (1 << axis)) this.rise(axis, (ways >> axis) & 1 ? -1 : 1);
        else this.fall(axis);
      }
    });
    this.hook(directionPort, (value, old) => {
      const changed = ((value ^ old) >> direction.bit) & mask;
      for (let axis = 0; axis < axes; axis++) if (changed & (1 << axis)) this.turn(axis);
    });
  }

  /** Width of the window of the tick grid in which all rising edges fell, cycles. */
  get jitter(): number {
    const { phases } = this;
    const used: number[] = [];
    for (let phase = 0; phase < CYCLES_PER_TICK; phase++) if (phases[phase]! > 0) used.push(phase);
    // The widest stretch of the grid without an edge, going round, is what lies outside the window.
    const free = used.map((phase, i) => (i === 0 ? phase + CYCLES_PER_TICK - used.at(-1)! : phase - used[i - 1]!));
    return CYCLES_PER_TICK - Math.max(...free);
  }

  private hook(address: number, look: (value: number, old: number) => void): void {
    const { writeHooks } = this.chip.cpu;
    const before = writeHooks[address];
    writeHooks[address] = (value, old, at, mask) => {
      look(value, old);
      return before?.(value, old, at, mask);
    };
  }

  private rise(axis: number, way: 1 | -1): void {
    const now = this.chip.cpu.cycles;
    this.rises[axis]!++;
    this.steps[axis]! += way;
    this.phases[now % CYCLES_PER_TICK]!++;
    this.leastLow = Math.min(this.leastLow, now - this.lastFall[axis]!);
    this.leastLead = Math.min(this.leastLead, now - this.lastTurn[axis]!);
    const gap = now - this.lastRise[axis]!;
    if (Number.isFinite(gap)) {
      this.leastGap[axis] = Math.min(this.leastGap[axis]!, gap);
      this.mostGap[axis] = Math.max(this.mostGap[axis]!, gap);
    }
    this.lastRise[axis] = now;
  }

  private fall(axis: number): void {
    const now = this.chip.cpu.cycles;
    this.leastHigh = Math.min(this.leastHigh, now - this.lastRise[axis]!);
    this.lastFall[axis] = now;
  }

  private turn(axis: number): void {
    const now = this.chip.cpu.cycles;
    this.reversals++;
    this.lastTurn[axis] = now;
    this.leastHold = Math.min(this.leastHold, now - this.lastRise[axis]!);
  }
}
