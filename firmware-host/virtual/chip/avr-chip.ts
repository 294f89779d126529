/**
 * An emulated board: avr8js runs the very image that is flashed, with timer 1, the serial line, converter, watchdog and EEPROM; contacts
 * are set and drive outputs watched by the names of the pin table. Some three times as fast as the real chip.
 *
 * What the emulator does not show (avr8js 0.21.1): an interrupt costs 2 to 3 cycles more on silicon; the receiver holds one byte
 * where silicon holds two, so a byte lost here (`bytesLost`) might have been kept; a watchdog reset is only reported: a chip that was
 * reset is a new AvrChip with the old one's `eeprom` and the `resetFlags` that say why.
 */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { AVRADC, AVREEPROM, AVRTimer, AVRUSART, adcConfig, avrInstruction, CPU, EEPROMMemoryBackend } from 'avr8js';
import { type InputPin, offLevels, type PinBoard, readPins } from '../../controller/pin-table';
import { AVR_PARTS, pinAddress } from './avr-parts';
import { restoreSnapshot, type Snapshot, takeSnapshot } from './chip-snapshot';
import { readIntelHex } from './intel-hex';
import { leapToMatch } from './timer-leap';
import { Watchdog } from './watchdog';

export const CPU_HZ = 16_000_000;
export const CYCLES_PER_TICK = 400;
const RETI = 0x9518;
const RAM_PATTERN = 0xa5;
const MCUSR = 0x54;
const POWER_ON = 0x01;
const WATCHDOG_RESET = 0x08;
const UCSR0A = 0xc0;
const RECEIVED = 0x80;
/** Ten bits at 250,000 baud. */
const CYCLES_PER_BYTE = 640;
const GPIOR0 = 0x3e;
const GPIOR1 = 0x4a;
const GPIOR2 = 0x4b;
const MARK_PASS = 0x80;
const MARK_LOST = 0x40;

/** Names of the inputs in the order of the bits of SPEC 6; `limits` of the small board are bits 4 to 7 together. */
const INPUT_BITS: Record<string, number> = {
  halt: 0x0001,
  guard: 0x0002,
  driveFault: 0x0004,
  index: 0x0008,
  strokeLow: 0x0010,
  strokeHigh: 0x0020,
  radialLow: 0x0040,
  radialHigh: 0x0080,
  limits: 0x00f0,
  lapTurnReference: 0x0100,
  liftUp: 0x0200,
  liftDown: 0x0400,
  turntableReference: 0x0800,
  freeOfGlass: 0x1000,
};

/** What the main loop did, as the image marks it (avr/board.h). */
export type ChipMark =
  | { kind: 'lock' }
  | { kind: 'byte'; byte: number }
  | { kind: 'room'; room: number }
  | { kind: 'pass' }
  | { kind: 'lost'; bytes: number };

export interface ChipOptions {
  /** Image text; the one kept in the repository when left out. */
  hex?: string;
  /** The pin table that the image was built with; that of the board when left out. */
  pins?: PinBoard;
  /** Content that outlives the power; erased when left out. */
  eeprom?: Uint8Array;
  /** MCUSR at the reset vector: 1 power, 2 reset pin, 4 brown-out, 8 watchdog. */
  resetFlags?: number;
  /** False: conversions of analog pins never end, as where nobody looks at them. */
  converter?: boolean;
}

export class AvrChip {
  readonly board: PinBoard;
  readonly cpu: CPU;
  readonly eeprom: Uint8Array;
  /** Tick interrupts begun since reset. */
  ticks = 0;
  /** Cycles from the interrupt to the end of its RETI, of the last tick. */
  tickCycles = 0;
  /** Bytes that have come in over the line. */
  arrived = 0;
  /** Received bytes overwritten before the image read them. */
  bytesLost = 0;
  /** Set when the image failed to feed its watchdog in time. */
  watchdogBit = false;
  /** STEP pins that come on, a rising edge unless turned round: mask of axes, mask of DIR pins that say negative. Called at the tick's store. */
  onStep: ((step: number, direction: number) => void) | null = null;
  onByte: ((byte: number) => void) | null = null;
  onMark: ((mark: ChipMark) => void) | null = null;
  /** After every tick interrupt. */
  onTick: ((cycles: number) => void) | null = null;

  private readonly ramEnd: number;
  private readonly usart: AVRUSART;
  private readonly analog: AVRADC | null;
  private readonly watchdog: Watchdog;
  private readonly peripherals: object[];
  private readonly tickVector: number;
  private readonly line: number[] = [];
  private arriving = false;
  private tickBegan = 0;
  private inTick = false;

  constructor(board: PinBoard['board'], options: ChipOptions = {}) {
    this.board = options.pins ?? readPins().find((one) => one.board === board)!;
    const parts = AVR_PARTS[this.board.chip];
    const flash = readIntelHex(options.hex ?? readFileSync(imagePath(this.board), 'utf8'), parts.flashBytes);
    this.cpu = new CPU(new Uint16Array(flash.buffer), parts.ramBytes);
    // RAM holds anything at power on; a known pattern lets `stackBytes` see how deep the stack went.
    this.ramEnd = parts.ramBytes + 0x100;
    this.cpu.data.fill(RAM_PATTERN, this.ramEnd - parts.sramBytes, this.ramEnd);
    const flags = options.resetFlags ?? POWER_ON;
    this.cpu.data[MCUSR] = flags;
    this.watchdog = new Watchdog(this.cpu, (flags & WATCHDOG_RESET) !== 0);
    this.tickVector = parts.timer1.compAInterrupt;
    const timer = new AVRTimer(this.cpu, parts.timer1);
    leapToMatch(this.cpu, timer);
    const memory = new EEPROMMemoryBackend(parts.eepromBytes);
    if (options.eeprom) memory.memory.set(options.eeprom);
    this.eeprom = memory.memory;
    const eeprom = new AVREEPROM(this.cpu, memory, parts.eeprom);
    this.usart = new AVRUSART(this.cpu, parts.usart0, CPU_HZ);
    this.usart.onByteTransmit = (byte) => this.onByte?.(byte);
    this.analog = options.converter === false ? null : new AVRADC(this.cpu, adcConfig);
    this.peripherals = [this, timer, eeprom, memory, this.usart, this.watchdog, this.analog ?? {}];
    this.watchMarks();
    this.watchSteps();
    this.setInputs(0);
  }

  /** Puts bytes on the line to the chip; they arrive back to back at the baud rate. */
  write(bytes: ArrayLike<number>): void {
    for (let i = 0; i < bytes.length; i++) this.line.push(bytes[i]! & 0xff);
    if (!this.arriving && this.line.length > 0) this.beginByte();
  }

  /** Bytes written that have not arrived yet. */
  get unsent(): number {
    return this.line.length;
  }

  /** The most bytes of stack used so far, or null when it grew into the `ramBytes` of variables (see the image's manifest). */
  stackBytes(ramBytes: number): number | null {
    const { sramBytes } = AVR_PARTS[this.board.chip];
    const variablesEnd = this.ramEnd - sramBytes + ramBytes;
    let lowest = variablesEnd;
    while (lowest < this.ramEnd && this.cpu.data[lowest] === RAM_PATTERN) lowest++;
    return lowest === variablesEnd ? null : this.ramEnd - lowest;
  }

  /** Sets the contacts: bits of SPEC 6, 1 = asserted. */
  setInputs(asserted: number): void {
    for (const pin of this.board.pins) {
      if (pin.kind === 'input') this.setContact(pin, (asserted & INPUT_BITS[pin.signal]!) !== 0);
    }
  }

  /** What an analog pin of the pin table reads, 0..1023; channel as a Firmata client counts. */
  setAnalog(channel: number, value: number): void {
    const pin = this.board.pins.filter((one) => one.kind === 'analog')[channel];
    if (!pin || !this.analog) throw new Error(`no analog channel ${channel}`);
    this.analog.channelValues[pin.channel] = ((value + 0.5) / 1024) * this.analog.avcc;
  }

  /** Everything but whoever listens; `restore` puts this chip back there. */
  snapshot(): Snapshot {
    return takeSnapshot(this.cpu, this.peripherals);
  }

  restore(snapshot: Snapshot): void {
    restoreSnapshot(this.cpu, this.peripherals, snapshot);
  }

  /** The cable is out: what was on its way to the chip never arrives, but for the byte that is just coming in. */
  cutLine(): void {
    this.line.length = Math.min(this.line.length, this.arriving ? 1 : 0);
  }

  /** Whether an output of the pin table is on: driven, and at the level that means on. */
  isOn(signal: string): boolean {
    return this.output(signal)();
  }

  /** As `isOn`, for asking often. */
  output(signal: string): () => boolean {
    const pin = this.board.pins.find((one) => one.signal === signal);
    if (pin?.kind !== 'output') throw new Error(`no output ${signal}`);
    const { data } = this.cpu;
    const at = pinAddress(pin.port);
    const bit = 1 << pin.bit;
    const on = pin.on === 'high' ? bit : 0;
    return () => (data[at + 1]! & bit) !== 0 && (data[at + 2]! & bit) === on;
  }

  /** Runs until so many more ticks have ended. */
  runTicks(ticks: number): void {
    const goal = this.ticks + ticks;
    while (this.ticks < goal || this.inTick) this.step();
  }

  runCycles(cycles: number): void {
    const goal = this.cpu.cycles + cycles;
    while (this.cpu.cycles < goal) this.step();
  }

  private step(): void {
    const { cpu } = this;
    if (this.inTick && cpu.progMem[cpu.pc] === RETI) {
      avrInstruction(cpu);
      this.inTick = false;
      this.tickCycles = cpu.cycles - this.tickBegan;
      this.onTick?.(this.tickCycles);
    } else {
      avrInstruction(cpu);
    }
    const before = cpu.cycles;
    cpu.tick();
    if (cpu.pc === this.tickVector) {
      this.ticks++;
      this.inTick = true;
      this.tickBegan = before;
    }
    if (this.watchdog.bites()) this.watchdogBit = true;
  }

  /** The byte at the head of the line has arrived one character time from now. */
  private beginByte(): void {
    this.arriving = true;
    this.cpu.addClockEvent(() => {
      // avr8js tells nobody that the byte before is still unread and overwritten now.
      if (this.cpu.data[UCSR0A]! & RECEIVED) this.bytesLost++;
      this.usart.writeByte(this.line.shift()!, true);
      this.arrived++;
      this.arriving = false;
      if (this.line.length > 0) this.beginByte();
    }, CYCLES_PER_BYTE);
  }

  private watchMarks(): void {
    const { writeHooks } = this.cpu;
    writeHooks[GPIOR0] = () => this.onMark?.({ kind: 'lock' });
    writeHooks[GPIOR2] = (byte) => this.onMark?.({ kind: 'byte', byte });
    writeHooks[GPIOR1] = (value) => {
      if (value & MARK_PASS) this.onMark?.({ kind: 'pass' });
      else if (value & MARK_LOST) this.onMark?.({ kind: 'lost', bytes: value & ~MARK_LOST });
      else this.onMark?.({ kind: 'room', room: value });
    };
  }

  private watchSteps(): void {
    const step = this.board.pins.find((pin) => pin.signal === 'step.turntable')!;
    const direction = this.board.pins.find((pin) => pin.signal === 'direction.turntable')!;
    const axes = (1 << this.board.axes) - 1;
    const directionPort = pinAddress(direction.port) + 2;
    const stepOff = offLevels(this.board, 'step');
    const directionOff = offLevels(this.board, 'direction');
    this.cpu.writeHooks[pinAddress(step.port) + 2] = (value, old) => {
      const rising = (((value ^ stepOff) & ~(old ^ stepOff)) >> step.bit) & axes;
      if (rising) this.onStep?.(rising, ((this.cpu.data[directionPort]! ^ directionOff) >> direction.bit) & axes);
    };
  }

  private setContact(pin: InputPin, asserted: boolean): void {
    const at = pinAddress(pin.port);
    const open = asserted === (pin.asserted === 'open');
    if (open) this.cpu.data[at]! |= 1 << pin.bit;
    else this.cpu.data[at]! &= ~(1 << pin.bit);
  }
}

/** Where the image of a board stands in the repository. */
export function imagePath(board: Pick<PinBoard, 'chip'>): string {
  return join(__dirname, '..', '..', 'controller', 'images', `${board.chip.toLowerCase()}.hex`);
}
