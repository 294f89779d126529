/**
 * A stand whose controller is an emulated chip: avr8js runs the very image that is flashed, and a mechanism hangs on its pins. To the host
 * it is a line of bytes, no faster than the real one.
 */
import type { Stand } from '../../planner/stand/types';
import type { PinBoard } from '../controller/pin-table';
import type { BytePipe } from '../stand/byte-pipe';
import type { StandInputs } from '../stand/stand-link';
import { AvrChip, CPU_HZ } from './chip/avr-chip';
import { ChipMechanism } from './chip-mechanism';
import type { StandingStart } from './mechanism';
import type { SimulatedStand } from './simulated-stand';
import { StandLine } from './stand-line';
import type { StandTruth } from './virtual-stand';

export interface ChipStandOptions {
  stand: Stand;
  start: StandingStart;
  board: PinBoard['board'];
}

export class ChipStand implements SimulatedStand {
  readonly words: string;
  readonly virtual = true;
  private readonly chip: AvrChip;
  private readonly mechanism: ChipMechanism;
  private readonly enabled: () => boolean;
  private readonly said: number[] = [];
  private cyclesDue = 0;
  private line: StandLine;

  constructor({ stand, start, board }: ChipStandOptions) {
    const chip = new AvrChip(board);
    const mechanism = new ChipMechanism(stand, start);
    const enabled = chip.output('enable');
    const lower = chip.output('lower');
    this.chip = chip;
    this.mechanism = mechanism;
    this.enabled = enabled;
    this.words = `Virtual stand (emulated ${chip.board.chip})`;
    let contacts = -1;
    const touch = (): void => {
      if (mechanism.inputs === contacts) return;
      contacts = mechanism.inputs;
      chip.setInputs(contacts);
    };
    touch();
    chip.onStep = (mask, negative) => {
      // A motor without current does not follow.
      if (enabled()) mechanism.step(mask, negative);
      touch();
    };
    chip.onTick = () => {
      mechanism.tick(lower());
      touch();
    };
    chip.onByte = (byte) => this.said.push(byte);
    this.line = this.plugIn();
  }

  get pipe(): BytePipe {
    return this.line;
  }

  /** Bytes that fall due reach the host within the call. Throws when the image did not feed its watchdog. */
  advance(seconds: number): void {
    this.cyclesDue += seconds * CPU_HZ;
    const before = this.chip.cpu.cycles;
    this.chip.runCycles(Math.floor(this.cyclesDue));
    this.cyclesDue -= this.chip.cpu.cycles - before;
    if (this.chip.watchdogBit) throw new Error('The image on the emulated chip did not feed its watchdog.');
    if (this.said.length > 0) this.line.deliver(Uint8Array.from(this.said.splice(0)));
  }

  truth(): StandTruth {
    const { mechanism, chip } = this;
    return {
      seconds: chip.cpu.cycles / CPU_HZ,
      steps: Array.from(mechanism.position),
      travel: Array.from(mechanism.travel),
      liftHeight: mechanism.liftHeight,
      turntableTurns: mechanism.turnsPastMark('turntable'),
      lapTurns: mechanism.turnsPastMark('lapTurn'),
      drivesEnabled: this.enabled(),
    };
  }

  /** Received bytes that the chip overwrote before its image read them. */
  get bytesLost(): number {
    return this.chip.bytesLost;
  }

  force(input: keyof StandInputs, level: boolean | null): void {
    this.mechanism.force(input, level);
  }

  unplug(): void {
    const old = this.line;
    this.line = this.plugIn();
    old.end('The line to the emulated chip was unplugged.');
  }

  private plugIn(): StandLine {
    return new StandLine((bytes) => this.chip.write(bytes));
  }
}
