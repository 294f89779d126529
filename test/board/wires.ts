/**
 * The wires on a bare board: one from each contact input to ground, to nothing, or to an output of the same board whose doings reports
 * then tell. Knows where each far end is and says what a person has to do. Pin names are those of the pin table.
 */
import type { InputPin, OutputPin, PinBoard } from '../../firmware-host/controller/pin-table';
import { INPUT_BITS } from '../../firmware-host/stand/codes';

const BITS: Readonly<Record<string, number>> = { ...INPUT_BITS, limits: 0xf0, turntableReference: 1 << 11 };
const GROUND = 'GND';
const NOTHING = 'nothing';

interface Wire {
  pin: InputPin;
  bits: number;
  /** Where its far end is when nothing is held: ground, nothing, or the label of an output. */
  rest: string;
  end: string;
  /** What a report must tell of it; null where that depends on an output. */
  asserted: boolean | null;
}

export class Wires {
  private readonly wires: Wire[];
  private readonly echoes: { enable: Wire | undefined; notLowered: Wire | undefined };
  private readonly labels: { enable: string; lower: string };

  constructor({ pins }: Pick<PinBoard, 'pins'>) {
    const output = (signal: string): OutputPin =>
      pins.find((pin): pin is OutputPin => pin.kind === 'output' && pin.signal === signal)!;
    const [enable, lower] = [output('enable'), output('lower')];
    this.labels = { enable: enable.label, lower: lower.label };
    this.wires = pins
      .filter((pin): pin is InputPin => pin.kind === 'input')
      .map((pin) => {
        const rest = pin.asserted === 'open' ? GROUND : NOTHING;
        return { pin, bits: BITS[pin.signal]!, rest, end: rest, asserted: false };
      });
    // A low output is to an input what ground is. The lap is up while LOWER is off, and a reference nobody needs here shows ENABLE.
    this.echoes = {
      enable: this.join('turntableReference', enable, enable.on === 'low'),
      notLowered: this.join('liftUp', lower, lower.on === 'high'),
    };
    const liftUp = this.wires.find(({ pin }) => pin.signal === 'liftUp')!;
    if (this.echoes.notLowered === undefined) this.put(liftUp, true);
    for (const wire of this.wires) wire.rest = wire.end;
  }

  /** Bits of all inputs. */
  get inputs(): number {
    return this.wires.reduce((bits, wire) => bits | wire.bits, 0);
  }

  /** Inputs that show an output now, 0 where none does (see Port). */
  get echo(): { enable: number; notLowered: number } {
    const bitsOf = (wire: Wire | undefined): number => (wire !== undefined && wire.end === wire.rest ? wire.bits : 0);
    return { enable: bitsOf(this.echoes.enable), notLowered: bitsOf(this.echoes.notLowered) };
  }

  /** What has to be fitted to begin with, a line each. */
  fitting(): string[] {
    return this.wires
      .filter(({ end }) => end !== NOTHING)
      .map(({ pin, end }) => `${pin.label} (${pin.signal}) to ${end}`);
  }

  /** Takes down where the wires have to be from now on (see Port.hold); returns what a person is to do for it, a line each. */
  hold(asserted: number, released: number): string[] {
    return this.wires.flatMap((wire) => {
      const before = wire.end;
      if ((asserted & wire.bits) !== 0) this.put(wire, true);
      else if ((released & wire.bits) !== 0) this.put(wire, false);
      else this.atRest(wire);
      return before === wire.end ? [] : [`${wire.pin.label} (${wire.pin.signal}): ${moveWords(before, wire.end)}`];
    });
  }

  /** Inputs that a report tells otherwise than the wires should have them, in words; empty where all is right. */
  wrong(inputs: number): string[] {
    return this.wires.flatMap(({ pin, bits, end, asserted }) => {
      if (asserted === null || ((inputs & bits) !== 0) === asserted) return [];
      const should = end === NOTHING ? 'nothing should be joined to it' : `it should be joined to ${end}`;
      return [`${pin.label} (${pin.signal}) reads ${asserted ? 'released' : 'asserted'}: ${should}`];
    });
  }

  /** The output behind an echo, by its label on the board. */
  labelOf(output: 'enable' | 'lower'): string {
    return this.labels[output];
  }

  private join(signal: string, output: OutputPin, lowIsWanted: boolean): Wire | undefined {
    const wire = this.wires.find(({ pin }) => pin.signal === signal);
    if (wire === undefined || (wire.pin.asserted === 'closed') !== lowIsWanted) return undefined;
    wire.end = output.label;
    wire.asserted = null;
    return wire;
  }

  private put(wire: Wire, asserted: boolean): void {
    wire.end = asserted === (wire.pin.asserted === 'open') ? NOTHING : GROUND;
    wire.asserted = asserted;
  }

  private atRest(wire: Wire): void {
    wire.end = wire.rest;
    const closed = wire.rest === GROUND;
    wire.asserted = closed || wire.rest === NOTHING ? closed === (wire.pin.asserted === 'closed') : null;
  }
}

function moveWords(from: string, to: string): string {
  if (to === NOTHING) return `take its wire off ${from}`;
  return from === NOTHING ? `put its wire to ${to}` : `move its wire from ${from} to ${to}`;
}
