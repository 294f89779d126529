/**
 * Runs an emulated chip, writes down what its main loop met and when, and lets the WebAssembly core relive it: same bytes, same
 * inputs, its interrupts held at the same ticks. Both must then make the same steps at the same ticks and say the same things.
 */
import { VirtualBoard } from '../../firmware-host/controller/wasm/load';
import { AvrChip } from '../../firmware-host/virtual/chip/avr-chip';
import { type Frame, Reader, type Status, status } from './frames';

const FRAME_OPENED = 0x41;
const FRAME_STATUS = 0x42;

type Happening =
  | { kind: 'lock'; tick: number }
  | { kind: 'byte'; byte: number }
  | { kind: 'room'; room: number }
  | { kind: 'pass' }
  | { kind: 'lost'; bytes: number }
  | { kind: 'inputs'; tick: number; mask: number };

export interface Step {
  tick: number;
  step: number;
  direction: number;
}

/** A chip whose life is written down. */
export class RecordedChip {
  readonly chip: AvrChip;
  readonly reader = new Reader();
  readonly steps: Step[] = [];
  readonly happenings: Happening[] = [];
  worstTick = 0;
  totalCycles = 0;
  private inputs = 0;
  private pendingInputs: number | null = null;

  constructor(board: 'reference' | 'small') {
    // The core that relives it has no converter either.
    this.chip = new AvrChip(board, { converter: false });
    const { chip } = this;
    chip.onByte = (byte) => this.reader.take([byte]);
    chip.onStep = (step, direction) => this.steps.push({ tick: chip.ticks - 1, step, direction });
    chip.onMark = (mark) => this.happenings.push(mark.kind === 'lock' ? { kind: 'lock', tick: chip.ticks } : mark);
    chip.onTick = (cycles) => {
      this.worstTick = Math.max(this.worstTick, cycles);
      this.totalCycles += cycles;
      if (this.pendingInputs === null) return;
      this.inputs = this.pendingInputs;
      this.pendingInputs = null;
      chip.setInputs(this.inputs);
      this.happenings.push({ kind: 'inputs', tick: chip.ticks, mask: this.inputs });
    };
  }

  /** Contacts from the end of the next tick on. */
  setInputs(mask: number): void {
    this.pendingInputs = mask;
  }

  run(ticks: number): void {
    this.chip.runTicks(ticks);
  }

  /** The last status the chip sent. */
  get status(): Status | null {
    const frame = this.reader.frames.findLast(({ type }) => type === FRAME_STATUS);
    return frame ? status(frame) : null;
  }
}

/** What the core made of a recorded life. */
export interface Relived {
  steps: Step[];
  frames: Frame[];
  strayed: boolean;
  /** Ticks relived. */
  ticks: number;
}

export function relive(recorded: RecordedChip): Relived {
  const board = new VirtualBoard();
  const { raw } = board;
  const reader = new Reader();
  const steps: Step[] = [];
  raw.replay_start();
  const { firmataPins, pins } = recorded.chip.board;
  const [digital, analog] = (['accessory', 'analog'] as const).map((kind) =>
    pins.flatMap((pin) => (pin.kind === kind ? [pin.firmataPin] : [])),
  );
  raw.replay_wiring(firmataPins, digital!.length, digital![0]!, analog!.length, analog![0]!);
  board.recordSteps(true);
  board.force(0, 0xffff);
  // The EEPROM of a new chip is erased, so its first boot is number 1; cause 1 is power.
  raw.replay_boot(1, 1);

  let act: (() => void) | null = null;
  const finish = (): void => {
    act?.();
    act = null;
    reader.take(board.read());
    steps.push(...board.drainSteps());
  };
  for (const happening of recorded.happenings) {
    switch (happening.kind) {
      case 'byte':
        finish();
        act = () => raw.replay_receive(happening.byte);
        break;
      case 'lost':
        finish();
        act = () => raw.replay_overrun(happening.bytes);
        break;
      case 'pass':
        finish();
        act = () => raw.replay_poll();
        break;
      case 'lock':
        raw.replay_lock_at(happening.tick);
        break;
      case 'room':
        raw.replay_room(happening.room);
        break;
      case 'inputs':
        raw.replay_inputs_at(happening.tick, happening.mask);
        break;
    }
  }
  // The last act may have been cut short when the chip was stopped.
  reader.take(board.read());
  return { steps, frames: reader.frames, strayed: raw.replay_strayed() !== 0, ticks: board.now };
}

/** Frames that must be alike: `opened` names the board and is not compared. */
export function comparable(frames: readonly Frame[]): Frame[] {
  return frames.filter(({ type }) => type !== FRAME_OPENED);
}
