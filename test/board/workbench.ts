/**
 * A pretended workbench: a board and wires that lie where somebody was told to put them. Pin names and ends are read out of the very
 * words a person is shown.
 */
import { type InputPin, type PinBoard, readPins } from '../../firmware-host/controller/pin-table';
import { INPUT_BITS } from '../../firmware-host/stand/codes';
import { type Port, TICK_HZ } from '../wire/conformance/port';

const SLICE_TICKS = 20;
const BITS: Readonly<Record<string, number>> = { ...INPUT_BITS, limits: 0xf0, turntableReference: 1 << 11 };

export class Workbench {
  /** Bytes of the board that nobody took yet. */
  said: Uint8Array[] = [];
  board: Port;
  private readonly ends = new Map<string, string>();
  private readonly pins: PinBoard;
  private ticksDue = 0;

  /** `freshBoard`: a board that boots now, looked at from inside. */
  constructor(
    private readonly freshBoard: () => Port,
    board: PinBoard['board'],
  ) {
    this.pins = readPins().find((one) => one.board === board)!;
    this.board = freshBoard();
    this.touch();
  }

  write(bytes: Uint8Array): void {
    this.board.write(bytes);
  }

  /** At most 20 ticks at once, so that wires from outputs to inputs follow. */
  run(ticks: number): void {
    for (let left = ticks; left > 0; left -= SLICE_TICKS) {
      const said = this.board.run(Math.min(SLICE_TICKS, left));
      if (said.length > 0) this.said.push(said);
      // A board whose edges nobody takes stands still when it can keep no more of them.
      this.board.pins!.edges();
      this.touch();
    }
  }

  /** As part of a simulation. */
  advance(seconds: number): void {
    this.ticksDue += seconds * TICK_HZ;
    const ticks = Math.floor(this.ticksDue);
    this.ticksDue -= ticks;
    this.run(ticks);
  }

  reboot(): void {
    this.board = this.freshBoard();
    this.said = [];
    this.touch();
  }

  /** Does what the words ask hands to do. */
  obey(words: string): void {
    for (const [, label, end] of words.matchAll(/^ +(\w+) \(\w+\) to (\w+)$/gm)) this.ends.set(label!, end!);
    for (const [, label, end] of words.matchAll(/> (\w+) \(\w+\): (?:put its wire|move its wire from \w+) to (\w+)/g))
      this.ends.set(label!, end!);
    for (const [, label] of words.matchAll(/> (\w+) \(\w+\): take its wire off/g)) this.ends.delete(label!);
    this.touch();
    if (words.includes('> press the RESET button')) this.reboot();
  }

  /** Contacts as the wires have them. */
  private touch(): void {
    const { lowered, drivesOn } = this.board.pins!;
    const high: Record<string, boolean> = { GND: false };
    for (const pin of this.pins.pins) {
      if (pin.kind !== 'output') continue;
      if (pin.signal === 'lower') high[pin.label] = lowered() === (pin.on === 'high');
      if (pin.signal === 'enable') high[pin.label] = drivesOn() === (pin.on === 'high');
    }
    let asserted = 0;
    let released = 0;
    for (const pin of this.pins.pins.filter((one): one is InputPin => one.kind === 'input')) {
      const end = this.ends.get(pin.label);
      const closed = end !== undefined && high[end] === false;
      if (closed === (pin.asserted === 'closed')) asserted |= BITS[pin.signal]!;
      else released |= BITS[pin.signal]!;
    }
    this.board.hold(asserted, released);
  }
}
