/** The pin table of both boards and the C header made of it. Whoever draws wiring or names pins on a screen reads `readPins`. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { OwnPins } from '../../planner/stand/pins';

export interface InputPin {
  kind: 'input';
  signal: string;
  port: string;
  bit: number;
  /** Name printed on the usual carrier board. */
  label: string;
  /** Whether the contact is open or closed when the input counts as asserted (open: a cut wire asserts it). */
  asserted: 'open' | 'closed';
  words: string;
}

export interface OutputPin {
  kind: 'output';
  signal: string;
  port: string;
  bit: number;
  label: string;
  /** Level of the pin when the output is on. */
  on: 'high' | 'low';
  words: string;
}

/** A pin that a stock Firmata client may use, digital. Pins of a board follow each other by `firmataPin`. */
export interface AccessoryPin {
  kind: 'accessory';
  signal: string;
  port: string;
  bit: number;
  label: string;
  firmataPin: number;
  words: string;
}

/** The same, analog; they follow each other by `firmataPin` too, which is also their Firmata channel, from 0. */
export interface AnalogPin extends Omit<AccessoryPin, 'kind'> {
  kind: 'analog';
  /** Input of the chip's converter. */
  channel: number;
}

export type Pin = InputPin | OutputPin | AccessoryPin | AnalogPin;

export interface PinBoard {
  board: 'reference' | 'small';
  /** `board` of the SPEC's `opened`. */
  code: number;
  chip: 'ATmega2560' | 'ATmega328P';
  axes: number;
  firmataPins: number;
  pins: Pin[];
}

export function readPins(): PinBoard[] {
  const text = readFileSync(join(__dirname, 'pins.json'), 'utf8');
  return (JSON.parse(text) as { boards: PinBoard[] }).boards;
}

/** What a person reads instead of the signal: its words up to the first semicolon. */
export function nameOf({ words }: Pick<Pin, 'words'>): string {
  return words.split(';')[0]!;
}

/**
 * The table of a board with some outputs on at another level, and some contacts asserted in the other state; its other pins are as they
 * were. Throws for a signal that the board does not have, or that cannot be so.
 */
export function withOwnPins(board: PinBoard, own: OwnPins): PinBoard {
  const turned = structuredClone(board);
  for (const [signal, state] of Object.entries(own)) {
    const pin = turned.pins.find((one) => one.signal === signal);
    if (pin?.kind === 'output' && (state === 'high' || state === 'low')) pin.on = state;
    else if (pin?.kind === 'input' && (state === 'open' || state === 'closed')) pin.asserted = state;
    else throw new Error(`${board.board}: ${signal} cannot be ${state}`);
  }
  return turned;
}

/** `driveFault` -> `DRIVE_FAULT`. */
function macroName(signal: string): string {
  return signal.replace(/([A-Z])/g, '_$1').toUpperCase();
}

/** Bits of a bus's port while all its outputs are off: 1 for those that are on when low. */
export function offLevels({ pins }: PinBoard, bus: 'step' | 'direction'): number {
  let levels = 0;
  for (const pin of pins)
    if (pin.kind === 'output' && pin.on === 'low' && pin.signal.startsWith(`${bus}.`)) levels |= 1 << pin.bit;
  return levels;
}

/** Lines of one bus (STEP or DIR): its pins must follow each other on one port, in the order of the axes. */
function busLines(board: PinBoard, bus: 'step' | 'direction'): string[] {
  const pins = board.pins.filter((pin): pin is OutputPin => pin.signal.startsWith(`${bus}.`) && pin.kind === 'output');
  const first = pins[0];
  if (!first || pins.length !== board.axes) throw new Error(`${board.board}: ${bus} has ${pins.length} pins`);
  pins.forEach((pin, axis) => {
    if (pin.port !== first.port || pin.bit !== first.bit + axis) {
      throw new Error(`${board.board}: ${pin.signal} must be bit ${first.bit + axis} of port ${first.port}`);
    }
  });
  const name = macroName(bus);
  const mask = ((1 << board.axes) - 1) << first.bit;
  return [
    `#define ${name}_PORT PORT${first.port}`,
    `#define ${name}_DDR DDR${first.port}`,
    `#define ${name}_SHIFT ${first.bit}`,
    `#define ${name}_MASK 0x${mask.toString(16).toUpperCase()}`,
    `#define ${name}_INVERTED 0x${offLevels(board, bus).toString(16).toUpperCase()}`,
  ];
}

/** Count and first Firmata number of accessory pins, and what stands behind each. Throws when their numbers do not follow each other. */
function accessoryLines({ board, pins }: PinBoard): string[] {
  const digital = pins.filter((pin) => pin.kind === 'accessory');
  const analog = pins.filter((pin) => pin.kind === 'analog');
  for (const group of [digital, analog]) {
    group.forEach((pin, i) => {
      if (pin.firmataPin !== group[0]!.firmataPin + i) throw new Error(`${board}: ${pin.signal} is out of order`);
    });
  }
  return [
    `#define PORT_ACCESSORIES ${digital.length}`,
    `#define PORT_ACCESSORY_FIRST ${digital[0]?.firmataPin ?? 0}`,
    `#define ACCESSORY_PINS(DO) ${digital.map(({ port, bit }, i) => `DO(${i}, ${port}, ${bit})`).join(' ')}`,
    `#define PORT_ANALOGS ${analog.length}`,
    `#define PORT_ANALOG_FIRST ${analog[0]?.firmataPin ?? 0}`,
    `#define ANALOG_CHANNELS(DO) ${analog.map(({ channel }, i) => `DO(${i}, ${channel})`).join(' ')}`,
  ];
}

function pinLines(pin: InputPin | OutputPin): string[] {
  const name = macroName(pin.signal);
  const lines = [`#define ${name}_PORT PORT${pin.port}`, `#define ${name}_BIT ${pin.bit}`];
  if (pin.kind === 'output') {
    return [...lines, `#define ${name}_DDR DDR${pin.port}`, `#define ${name}_ON_LOW ${pin.on === 'low' ? 1 : 0}`];
  }
  return [...lines, `#define ${name}_PIN PIN${pin.port}`, `#define ${name}_OPEN ${pin.asserted === 'open' ? 1 : 0}`];
}

/** The C header of a board. Throws when two signals share a pin or a bus is torn apart. */
export function pinHeader(board: PinBoard): string {
  const taken = new Map<string, string>();
  for (const pin of board.pins) {
    const place = `${pin.port}${pin.bit}`;
    const other = taken.get(place);
    if (other) throw new Error(`${board.board}: ${other} and ${pin.signal} share P${place}`);
    taken.set(place, pin.signal);
  }
  const single = board.pins.filter(
    (pin): pin is InputPin | OutputPin => !pin.signal.includes('.') && (pin.kind === 'input' || pin.kind === 'output'),
  );
  return [
    `/* Made from pins.json for the ${board.board} board (${board.chip}) by "npm run build"; change the table, not this file. */`,
    '#ifndef PINS_H',
    '#define PINS_H',
    '',
    `#define PORT_AXES ${board.axes}`,
    `#define PORT_BOARD ${board.code}`,
    `#define PORT_PINS ${board.firmataPins}`,
    '',
    ...busLines(board, 'step'),
    ...busLines(board, 'direction'),
    ...single.flatMap(pinLines),
    ...accessoryLines(board),
    '',
    '#endif',
    '',
  ].join('\n');
}
