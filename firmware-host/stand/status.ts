/** Turns the controller's reports into what the host speaks of: whole numbers, seconds, names. One per open link. */
import type { StatusFrame } from '../wire/frame-table';
import { INPUT_BITS, LIFT_STATES, STATE_BITS, STOP_CAUSES } from './codes';
import { LatchedPlace, widen } from './numbering';
import type { StandInputs, StandStatus } from './stand-link';

export class StatusReader {
  private clockTicks = 0;
  private lastClock: number | undefined;
  private begun = 0;
  private accepted = 0;
  private indexCount: number | undefined;
  private readonly index = new LatchedPlace();
  private readonly seek = new LatchedPlace();
  private readonly stop = new LatchedPlace();

  /** `paceLevels` is the level of full pace (Kmax), `tickHz` the controller's tick. */
  constructor(
    private readonly paceLevels: number,
    private readonly tickHz: number,
  ) {}

  get hasRead(): boolean {
    return this.lastClock !== undefined;
  }

  get segmentsBegun(): number {
    return this.begun;
  }

  /** True for a report older than one already read: a line may repeat or reorder what it carries. */
  isStale(frame: StatusFrame): boolean {
    return this.lastClock !== undefined && ((frame.clockTicks - this.lastClock) | 0) < 0;
  }

  /** The controller emptied its ring: segments are numbered from 0 again. */
  restartNumbers(): void {
    this.begun = 0;
    this.accepted = 0;
    for (const latch of [this.index, this.seek, this.stop]) latch.restart();
  }

  read(frame: StatusFrame): StandStatus {
    this.clockTicks += this.lastClock === undefined ? frame.clockTicks : (frame.clockTicks - this.lastClock) >>> 0;
    this.lastClock = frame.clockTicks;
    this.begun = widen(this.begun, frame.segmentsBegun);
    this.accepted = widen(this.accepted, frame.segmentsAccepted);
    this.indexCount = this.indexCount === undefined ? frame.indexCount : widen(this.indexCount, frame.indexCount);
    const state = (bit: number): boolean => (frame.state & bit) !== 0;
    const indexFiring = this.indexCount > 0 && this.indexCount;
    const seekFiring = state(STATE_BITS.seekLatched) && 1 + frame.seekBegun * 256 + frame.seekTicksLeft;
    return {
      bootId: frame.bootId,
      clockSeconds: this.clockTicks / this.tickHz,
      place: { segment: this.begun - 1, ticksLeft: frame.ticksLeft },
      segmentsAccepted: this.accepted,
      ringFree: frame.ringFree,
      pace: frame.paceLevel / this.paceLevels,
      paceTarget: frame.paceTarget / this.paceLevels,
      atRest: frame.paceLevel === 0 && frame.paceTarget === 0,
      atPlannedRest: state(STATE_BITS.atPlannedRest),
      drivesOn: state(STATE_BITS.drivesOn),
      drivesReady: state(STATE_BITS.drivesReady),
      positionLost: state(STATE_BITS.positionLost),
      hostSilent: state(STATE_BITS.hostSilent),
      lift: LIFT_STATES[frame.lift] ?? 'unknown',
      inputs: readInputs(frame.inputs),
      latchedStop: STOP_CAUSES[frame.latchedStop] ?? null,
      stopPlace: this.stop.update(
        frame.latchedStop > 0 && frame.latchedStop,
        frame.stopBegun,
        frame.stopTicksLeft,
        this.begun,
      ),
      seek: {
        on: state(STATE_BITS.seekOn),
        latched: this.seek.update(seekFiring, frame.seekBegun, frame.seekTicksLeft, this.begun),
      },
      index: {
        count: this.indexCount,
        place: this.index.update(indexFiring, frame.indexBegun, frame.indexTicksLeft, this.begun),
      },
      droopTicks: frame.droopTicks,
      underruns: frame.underruns,
      counters: {
        crc: frame.crcErrors,
        length: frame.lengthErrors,
        type: frame.typeErrors,
        link: frame.linkErrors,
        sequence: frame.sequenceErrors,
        aborted: frame.abortedErrors,
        overrun: frame.overrunErrors,
        refused: frame.refusals,
      },
    };
  }
}

function readInputs(bits: number): StandInputs {
  const on = (name: keyof StandInputs): boolean => (bits & INPUT_BITS[name]) !== 0;
  return {
    halt: on('halt'),
    guard: on('guard'),
    driveFault: on('driveFault'),
    index: on('index'),
    strokeLow: on('strokeLow'),
    strokeHigh: on('strokeHigh'),
    radialLow: on('radialLow'),
    radialHigh: on('radialHigh'),
    lapTurnReference: on('lapTurnReference'),
    liftUp: on('liftUp'),
    liftDown: on('liftDown'),
    freeOfGlass: on('freeOfGlass'),
  };
}
