/**
 * The virtual stand: the controller's own core and a mechanism, in WebAssembly, with a time that someone else advances. To the
 * host it is a line of bytes like any other; beside that line it tells the truth about its motors, and takes faults.
 */
import type { Stand } from '../../planner/stand/types';
import { type AccessoryUse, VirtualBoard } from '../controller/wasm/load';
import type { BytePipe } from '../stand/byte-pipe';
import { INPUT_BITS } from '../stand/codes';
import { Listeners } from '../stand/listeners';
import type { StandInputs } from '../stand/stand-link';
import type { LapPlace } from './glass/under-lap';
import { eachAxis, fitLift, fitMechanism, type StandingStart, slip, turnsPastMark } from './mechanism';
import type { Simulated } from './simulation';
import { StandLine } from './stand-line';

export interface VirtualStandOptions {
  stand: Stand;
  start: StandingStart;
  /** 16 bits; a controller draws another at every boot. */
  bootId: number;
}

/** What the mechanism did, whatever the controller believes. Axes in wire order. */
export interface StandTruth {
  /** Seconds of the stand's own time. */
  seconds: number;
  /** Where each axis stands, steps. */
  steps: readonly number[];
  /** Steps made both ways, added up. */
  travel: readonly number[];
  /** 0 = lap down on the glass, 1 = lift all the way up. */
  liftHeight: number;
  /** Where the turntable and the lap are past their marks, turns 0..1, slip included. */
  turntableTurns: number;
  lapTurns: number;
  drivesEnabled: boolean;
}

/** What went on in a piece of the stand's time. */
export interface Motion {
  from: StandTruth;
  to: StandTruth;
}

/** `bootCause` of the SPEC. */
const REBOOT_CAUSES = { power: 1, external: 2, 'brown-out': 3, watchdog: 4 } as const;

export class VirtualStand implements Simulated {
  readonly words = 'Virtual stand (WebAssembly core)';
  readonly virtual = true;
  private board: VirtualBoard;
  private bootId: number;
  private ticksBefore = 0;
  private ticksDue = 0;
  private travelBefore: number[] = [0, 0, 0, 0, 0];
  private forcedOn = 0;
  private forcedOff = 0;
  private liftStuck = false;
  private line: StandLine;
  private readonly motionListeners = new Listeners<Motion>();

  constructor(private readonly options: VirtualStandOptions) {
    this.bootId = options.bootId;
    this.board = new VirtualBoard();
    fitMechanism(this.board, options.stand, options.start);
    this.board.boot(this.bootId);
    this.line = new StandLine((bytes) => this.board.write(bytes));
  }

  /** The line to the host. After `unplug` there is another. */
  get pipe(): BytePipe {
    return this.line;
  }

  /** The stand's own time goes on; bytes that fall due reach the host within the call. */
  advance(seconds: number): void {
    const { tickHz } = this.options.stand;
    this.ticksDue += seconds * tickHz;
    const ticks = Math.floor(this.ticksDue + 1e-6);
    this.ticksDue -= ticks;
    const from = this.motionListeners.isEmpty ? undefined : this.truth();
    for (let left = ticks; left > 0; ) left -= this.board.run(left);
    if (from !== undefined) this.motionListeners.tell({ from, to: this.truth() });
    const bytes = this.board.read();
    if (bytes.length > 0) this.line.deliver(bytes);
  }

  truth(): StandTruth {
    const { board } = this;
    const { stand } = this.options;
    return {
      seconds: (this.ticksBefore + board.now) / stand.tickHz,
      steps: eachAxis((axis) => board.position(axis)),
      travel: eachAxis((axis) => this.travelBefore[axis]! + board.travel(axis)),
      liftHeight: board.liftAt / Math.round(stand.lift.travelSeconds * stand.tickHz),
      turntableTurns: turnsPastMark(board, stand, 'turntable'),
      lapTurns: turnsPastMark(board, stand, 'lapTurn'),
      drivesEnabled: board.drivesEnabled,
    };
  }

  lapPlace(): LapPlace {
    const { board } = this;
    const { stand } = this.options;
    return {
      liftHeight: board.liftAt / Math.round(stand.lift.travelSeconds * stand.tickHz),
      xMm: board.position(1) / stand.axes.stroke.stepsPerUnit,
      yMm: board.position(2) / stand.axes.radial.stepsPerUnit,
      turntableTurns: turnsPastMark(board, stand, 'turntable'),
      lapTurns: turnsPastMark(board, stand, 'lapTurn'),
      seconds: (this.ticksBefore + board.now) / stand.tickHz,
    };
  }

  /** Told after every `advance`; for those who watch every slice. */
  onMotion(listener: (motion: Motion) => void): () => void {
    return this.motionListeners.add(listener);
  }

  /** Holds an input asserted or released whatever the mechanism does; null lets go of it. */
  force(input: keyof StandInputs, level: boolean | null): void {
    const bit = INPUT_BITS[input];
    this.forcedOn &= ~bit;
    this.forcedOff &= ~bit;
    if (level === true) this.forcedOn |= bit;
    if (level === false) this.forcedOff |= bit;
    this.board.force(this.forcedOn, this.forcedOff);
  }

  /** What the controller does with an accessory pin, counted from 0 as in the pin table. */
  accessory(number: number): AccessoryUse {
    return this.board.accessory(number);
  }

  /** The level a contact or sensor gives an accessory input. */
  setContact(number: number, high: boolean): void {
    this.board.setContact(number, high);
  }

  /** What an analog accessory reads, 0..1023. */
  setAnalog(number: number, value: number): void {
    this.board.setAnalog(number, value);
  }

  /** Turns the table or the lap by so many degrees against its motor. */
  slip(what: 'turntable' | 'lapTurn', degrees: number): void {
    slip(this.board, this.options.stand, what, degrees);
  }

  /** A slide moves by so many steps without its motor, as after steps that its motor missed. */
  push(slide: 'stroke' | 'radial', steps: number): void {
    const axis = slide === 'stroke' ? 1 : 2;
    this.board.place(axis, this.board.position(axis) + steps);
  }

  /** A stuck lift stays where it is. */
  stickLift(stuck: boolean): void {
    this.liftStuck = stuck;
    fitLift(this.board, this.options.stand, stuck);
  }

  /** The cable comes out: the host's end of the line closes, the stand goes on by itself. Take the next `pipe` to plug in. */
  unplug(): void {
    const old = this.line;
    this.line = new StandLine((bytes) => this.board.write(bytes));
    old.end('The line to the virtual stand was unplugged.');
  }

  /** The controller starts anew; the mechanism stands where it stood. */
  reboot(cause: keyof typeof REBOOT_CAUSES): void {
    const { stand } = this.options;
    const before = this.truth();
    const { liftAt } = this.board;
    this.ticksBefore += this.board.now;
    this.travelBefore = [...before.travel];
    this.board = new VirtualBoard();
    fitMechanism(this.board, stand, {
      turntableTurns: before.turntableTurns,
      lapTurns: before.lapTurns,
      strokeMm: before.steps[1]! / stand.axes.stroke.stepsPerUnit,
      radialMm: before.steps[2]! / stand.axes.radial.stepsPerUnit,
    });
    for (const [axis, steps] of before.steps.entries()) this.board.place(axis, steps);
    fitLift(this.board, stand, this.liftStuck);
    this.board.placeLift(liftAt);
    this.board.force(this.forcedOn, this.forcedOff);
    this.bootId = (this.bootId + 1) & 0xffff;
    this.board.boot(this.bootId, REBOOT_CAUSES[cause]);
  }
}
