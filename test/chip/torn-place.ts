/**
 * A place is three bytes that the tick interrupt changes and the main loop tells. Here the tick that fetches segment 256, so that all
 * three change at once, is made to fall at every point of the main loop's reading them.
 */
import { expect } from 'vitest';
import { pinAddress } from '../../firmware-host/virtual/chip/avr-parts';
import { type ChipBoard, ChipHost, LINK } from './chip-host';
import { TYPE } from './desk-host';
import { frame, type Place, unpack } from './frames';

const CLI = 0x94f8;
const NOP = 0x0000;
const SELF_JUMP = 0xcfff;
const TICKS = 96;
const BORDER = 255;
const MOST_CYCLES = 1400;
/** Wire bytes of a status up to the place in it. */
const HEAD_BYTES = 16;

class TornPlace {
  private readonly host: ChipHost;
  private begun = 0;

  /** Stops where a status is due a tick or two before segment 256 is fetched. */
  constructor(board: ChipBoard) {
    this.host = new ChipHost(board);
    const { chip } = this.host;
    const next = (): number[] => this.host.fastest(TICKS);
    this.host.ready(50);
    // Each fetch stores to the DIR pins, that of the first segment at rest too.
    const direction = chip.board.pins.find((pin) => pin.signal === 'direction.turntable')!;
    chip.cpu.writeHooks[pinAddress(direction.port) + 2] = () => {
      this.begun++;
    };
    this.host.walk(next);
    // The last acknowledgements are over some time before, and the status of every 40 ms is not due yet.
    while (this.begun < BORDER - 4) this.host.feed(next, 20);
    while (this.begun < BORDER) chip.runTicks(1);
    const early = chip.snapshot();
    for (let ticks = 0; ; ticks++) {
      this.ask(ticks);
      const { begun, left } = this.placeAfter(0);
      if (begun === BORDER && left <= 3) break;
      if (begun !== BORDER) throw new Error('the border was passed');
      chip.restore(early);
      if (left > 8) ticks += left - 8;
    }
  }

  /** With how many cycles of delay the place told is one of the next segment; to the cycle. */
  border(): number {
    let [before, after] = [0, MOST_CYCLES];
    expect(this.placeAfter(after).begun).toBe(BORDER + 1);
    while (after - before > 1) {
      const middle = (before + after) >> 1;
      if (this.placeAfter(middle).begun === BORDER) before = middle;
      else after = middle;
    }
    return after;
  }

  /** The place told when the main loop comes so many cycles late; `locked` false: by the image without its `cli`. Nothing is changed by it. */
  placeAfter(delay: number, locked = true): Place {
    const { chip } = this.host;
    const { progMem } = chip.cpu;
    const before = chip.snapshot();
    const image = progMem.slice();
    if (!locked) for (let at = 0; at < progMem.length; at++) if (progMem[at] === CLI) progMem[at] = NOP;
    this.delay(600 + delay);
    const told = this.nextPlace();
    progMem.set(image);
    chip.restore(before);
    return told;
  }

  /** Waits so many ticks and sends what is answered with a status, up to before its last byte. */
  private ask(ticks: number): void {
    const { chip, seq } = this.host;
    chip.runTicks(ticks);
    // A frame of before is acknowledged at once and does nothing.
    const wire = frame(TYPE.clear, LINK, seq - 1, []);
    const last = chip.arrived + wire.length - 1;
    chip.write(wire);
    while (chip.arrived < last) chip.runCycles(1);
    chip.runCycles(300);
    while (!chip.cpu.interruptsEnabled) chip.runCycles(1);
  }

  /** The main loop stands still; interrupts go on. */
  private delay(cycles: number): void {
    const { cpu } = this.host.chip;
    const { pc, progMem } = cpu;
    const instruction = progMem[pc]!;
    progMem[pc] = SELF_JUMP;
    this.host.chip.runCycles(cycles);
    while (cpu.pc !== pc) this.host.chip.runCycles(1);
    progMem[pc] = instruction;
  }

  private nextPlace(): Place {
    const { chip } = this.host;
    const { onByte } = chip;
    const wire: number[] = [];
    chip.onByte = (byte) => {
      if (byte === 0xf0) wire.length = 0;
      wire.push(byte);
    };
    while (wire[0] !== 0xf0 || wire.length < HEAD_BYTES) chip.runCycles(100);
    chip.onByte = onByte;
    const body = unpack(wire.slice(2)).slice(4);
    return { begun: body[4]! | (body[5]! << 8), left: body[6]! };
  }
}

/** Whether the walk has been there, in the few ticks around the border. */
const possible = ({ begun, left }: Place): boolean =>
  (begun === BORDER && left <= 20) || (begun === BORDER + 1 && left >= TICKS - 20);

/** Every cycle of a wide window about the border. */
export function expectWholePlaces(board: ChipBoard): void {
  const torn = new TornPlace(board);
  const border = torn.border();
  const around = (reach: number, locked: boolean): Place[] =>
    Array.from({ length: 2 * reach }, (_, at) => torn.placeAfter(Math.max(0, border - reach + at), locked));
  const places = around(100, true);
  expect(places.filter((place) => !possible(place))).toEqual([]);
  expect(new Set(places.map(({ begun }) => begun))).toEqual(new Set([BORDER, BORDER + 1]));
  // The same image without its locks is caught.
  expect(around(40, false).filter((place) => !possible(place)).length).toBeGreaterThan(0);
}
