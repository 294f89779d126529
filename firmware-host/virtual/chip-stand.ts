/**
 * A stand whose controller is an emulated chip: avr8js runs the very image that is flashed, and a mechanism hangs on its pins. To the host
 * it is a line of bytes, no faster than the real one.
 */
import type { Stand } from '../../planner/stand/types';
import type { PinBoard } from '../controller/pin-table';
import type { BytePipe } from '../stand/byte-pipe';
import { Listeners } from '../stand/listeners';
import type { StandInputs } from '../stand/stand-link';
import { AvrChip, type ChipOptions, CPU_HZ } from './chip/avr-chip';
import { ChipMechanism } from './chip-mechanism';
import type { LapPlace } from './glass/under-lap';
import type { StandingStart } from './mechanism';
import type { SimulatedStand } from './simulated-stand';
import { StandLine } from './stand-line';
import type { Motion, StandTruth } from './virtual-stand';

export interface ChipStandOptions {
  stand: Stand;
  start: StandingStart;
  board: PinBoard['board'];
  /** Its image and the pins of that; the one kept in the repository when left out. */
  image?: Required<Pick<ChipOptions, 'hex' | 'pins'>>;
}

/** Flags of MCUSR at the reset vector. */
const RESET_FLAGS = { power: 1, external: 2, 'brown-out': 4, watchdog: 8 } as const;

export class ChipStand implements SimulatedStand {
  readonly words: string;
  readonly virtual = true;
  private chip: AvrChip;
  private readonly mechanism: ChipMechanism;
  private enabled: () => boolean = () => false;
  private readonly said: number[] = [];
  private readonly motionListeners = new Listeners<Motion>();
  private cyclesDue = 0;
  private secondsBefore = 0;
  private lostBefore = 0;
  private line: StandLine;
  private readonly stand: Stand;
  private readonly image: ChipOptions;

  constructor({ stand, start, board, image }: ChipStandOptions) {
    this.stand = stand;
    this.image = { ...image };
    this.mechanism = new ChipMechanism(stand, start);
    this.chip = this.fit(new AvrChip(board, this.image));
    this.words = `Virtual stand (emulated ${this.chip.board.chip})`;
    this.line = this.plugIn();
  }

  get pipe(): BytePipe {
    return this.line;
  }

  /** Bytes that fall due reach the host within the call. Throws when the image did not feed its watchdog. */
  advance(seconds: number): void {
    this.cyclesDue += seconds * CPU_HZ;
    const before = this.chip.cpu.cycles;
    const from = this.motionListeners.isEmpty ? undefined : this.truth();
    this.chip.runCycles(Math.floor(this.cyclesDue));
    this.cyclesDue -= this.chip.cpu.cycles - before;
    if (this.chip.watchdogBit) throw new Error('The image on the emulated chip did not feed its watchdog.');
    if (from !== undefined) this.motionListeners.tell({ from, to: this.truth() });
    if (this.said.length > 0) this.line.deliver(Uint8Array.from(this.said.splice(0)));
  }

  truth(): StandTruth {
    const { mechanism, chip } = this;
    return {
      seconds: this.secondsBefore + chip.cpu.cycles / CPU_HZ,
      steps: Array.from(mechanism.position),
      travel: Array.from(mechanism.travel),
      liftHeight: mechanism.liftHeight,
      turntableTurns: mechanism.turnsPastMark('turntable'),
      lapTurns: mechanism.turnsPastMark('lapTurn'),
      drivesEnabled: this.enabled(),
    };
  }

  lapPlace(): LapPlace {
    const { mechanism, chip } = this;
    const { stroke, radial } = this.stand.axes;
    return {
      liftHeight: mechanism.liftHeight,
      xMm: mechanism.position[1]! / stroke.stepsPerUnit,
      yMm: mechanism.position[2]! / radial.stepsPerUnit,
      turntableTurns: mechanism.turnsPastMark('turntable'),
      lapTurns: mechanism.turnsPastMark('lapTurn'),
      seconds: this.secondsBefore + chip.cpu.cycles / CPU_HZ,
    };
  }

  /** Told after every `advance`. */
  onMotion(listener: (motion: Motion) => void): () => void {
    return this.motionListeners.add(listener);
  }

  /** Received bytes that the chip overwrote before its image read them. */
  get bytesLost(): number {
    return this.lostBefore + this.chip.bytesLost;
  }

  force(input: keyof StandInputs, level: boolean | null): void {
    this.mechanism.force(input, level);
  }

  /** Turns the table or the lap by so many degrees against its motor. */
  slip(what: 'turntable' | 'lapTurn', degrees: number): void {
    this.mechanism.slip(what, degrees);
  }

  /** A slide moves by so many steps without its motor. */
  push(slide: 'stroke' | 'radial', steps: number): void {
    this.mechanism.push(slide, steps);
  }

  /** A stuck lift stays where it is. */
  stickLift(stuck: boolean): void {
    this.mechanism.stickLift(stuck);
  }

  unplug(): void {
    const old = this.line;
    this.line = this.plugIn();
    old.end('The line to the emulated chip was unplugged.');
  }

  /** The chip starts anew, and only its EEPROM remembers; the mechanism stands where it stood. */
  reboot(cause: keyof typeof RESET_FLAGS): void {
    const { board, cpu, bytesLost, eeprom } = this.chip;
    this.secondsBefore += cpu.cycles / CPU_HZ;
    this.lostBefore += bytesLost;
    this.said.length = 0;
    this.chip = this.fit(new AvrChip(board.board, { ...this.image, eeprom, resetFlags: RESET_FLAGS[cause] }));
  }

  /** Hangs the mechanism on the pins of a chip. */
  private fit(chip: AvrChip): AvrChip {
    const { mechanism } = this;
    const enabled = chip.output('enable');
    const lower = chip.output('lower');
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
    this.enabled = enabled;
    return chip;
  }

  private plugIn(): StandLine {
    return new StandLine((bytes) => this.chip.write(bytes));
  }
}
