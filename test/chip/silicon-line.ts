/**
 * The buffers that the serial line has on silicon and not in avr8js 0.21.1, put in the place of the emulator's own at the level of the
 * registers (data sheets ATmega640/1280/1281/2560/2561 and ATmega48A..328P, USART): the receiver holds two characters and a third in
 * its shift register until a new start bit comes, and then says so (DOR0); the transmitter has a buffer before its shift register, and
 * what is written while that is full (UDRE0 clear) is ignored. Not here either: framing errors, a wrong baud rate.
 */
import type { AVRUSART, CPU } from 'avr8js';
import type { AvrChip } from '../../firmware-host/virtual/chip/avr-chip';

type Interrupt = Parameters<CPU['setInterruptFlag']>[0];

const UCSR0A = 0xc0;
const UDR0 = 0xc6;
const UDRE0 = 0x20;
const DOR0 = 0x08;
const CYCLES_PER_BYTE = 640;
/** From the middle of a stop bit, where a character is complete, to the start bit of one that follows at once. */
const TO_START_BIT = 32;

/** A character, and the cycle at which it was complete. */
interface Received {
  byte: number;
  at: number;
}

export class SiliconLine {
  /** Characters that the receiver lost. */
  lost = 0;
  /** Times that the image has read a character with DOR0 set before it. */
  overrunsRead = 0;
  /** Characters written to the transmitter while its buffer was full. */
  ignored = 0;
  /** Fewest cycles from the end of one character sent to the end of the next. */
  shortestSent = Number.POSITIVE_INFINITY;
  /** Most cycles for which a character waited to be read. */
  longestWait = 0;
  private lastSent = Number.NEGATIVE_INFINITY;
  private readonly received: Received[] = [];
  private waiting: Received | null = null;
  private held = false;
  private shifting = false;
  private buffered: number | null = null;
  private stalledUntil = 0;
  private readonly usart: AVRUSART;
  private readonly interrupt: Interrupt;

  constructor(private readonly chip: AvrChip) {
    this.usart = (chip as unknown as { usart: AVRUSART }).usart;
    this.interrupt = (this.usart as unknown as { RXC: Interrupt }).RXC;
    this.usart.writeByte = (byte) => {
      this.arrive(byte);
      return true;
    };
    chip.cpu.readHooks[UDR0] = () => this.read();
    chip.cpu.writeHooks[UDR0] = (byte) => this.write(byte);
  }

  /** The interrupt of the receiver is held up from now on, as by code that keeps interrupts off. */
  holdReceiver(cycles: number): void {
    this.held = true;
    this.chip.cpu.clearInterrupt(this.interrupt);
    this.chip.cpu.addClockEvent(() => {
      this.held = false;
      this.ring();
    }, cycles);
  }

  /** The transmitter gets nowhere: no character leaves before so many cycles are over. */
  stallTransmitter(cycles: number): void {
    this.stalledUntil = this.chip.cpu.cycles + cycles;
  }

  private arrive(byte: number): void {
    const { cpu } = this.chip;
    const received = { byte, at: cpu.cycles };
    if (this.received.length < 2) {
      this.received.push(received);
    } else {
      this.waiting = received;
      // One comes right behind it: its start bit takes the shift register.
      if (this.chip.unsent > 0) cpu.addClockEvent(() => this.overrun(), TO_START_BIT);
    }
    this.ring();
  }

  private overrun(): void {
    if (this.waiting === null) return;
    this.waiting = null;
    this.lost++;
    this.chip.cpu.data[UCSR0A]! |= DOR0;
  }

  private ring(): void {
    if (!this.held && this.received.length > 0) this.chip.cpu.setInterruptFlag(this.interrupt);
  }

  private read(): number {
    const { cpu } = this.chip;
    if (cpu.data[UCSR0A]! & DOR0) this.overrunsRead++;
    cpu.data[UCSR0A]! &= ~DOR0;
    const first = this.received.shift();
    if (first) this.longestWait = Math.max(this.longestWait, cpu.cycles - first.at);
    if (this.waiting !== null) this.received.push(this.waiting);
    this.waiting = null;
    cpu.clearInterrupt(this.interrupt);
    this.ring();
    return first?.byte ?? 0;
  }

  private write(byte: number): void {
    const { data } = this.chip.cpu;
    if ((data[UCSR0A]! & UDRE0) === 0) {
      this.ignored++;
    } else if (this.shifting) {
      this.buffered = byte;
      data[UCSR0A]! &= ~UDRE0;
    } else {
      this.shift(byte);
    }
  }

  private shift(byte: number): void {
    const { cpu } = this.chip;
    this.shifting = true;
    const wait = Math.max(0, this.stalledUntil - cpu.cycles);
    cpu.addClockEvent(() => {
      this.shortestSent = Math.min(this.shortestSent, cpu.cycles - this.lastSent);
      this.lastSent = cpu.cycles;
      this.usart.onByteTransmit?.(byte);
      this.shifting = false;
      const next = this.buffered;
      this.buffered = null;
      cpu.data[UCSR0A]! |= UDRE0;
      if (next !== null) this.shift(next);
    }, CYCLES_PER_BYTE + wait);
  }
}
