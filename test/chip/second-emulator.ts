/**
 * The images in simavr, an emulator that shares nothing with avr8js, and the same play in both: what is put on line and pins, and when, is
 * fixed beforehand. Of simavr 1.6 as Debian has it: an interrupt costs no cycles to enter (4 to 5 on silicon), a character takes 704
 * cycles instead of 640, and the receiver has room for 64 characters instead of two.
 */
import { execFileSync } from 'node:child_process';
import { mkdtempSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { AvrChip, CYCLES_PER_TICK, imagePath } from '../../firmware-host/virtual/chip/avr-chip';
import { pinAddress } from '../../firmware-host/virtual/chip/avr-parts';
import type { ChipBoard } from './chip-host';

/** One act: bytes to the line, contacts (bits of SPEC 6), a run of ticks, or a look at the drives' output. */
export type Act = { write: readonly number[] } | { inputs: number } | { run: number } | { lookAtDrives: true };

export interface Edge {
  axis: number;
  way: 1 | -1;
  /** Since reset. */
  cycle: number;
}

export interface Played {
  bytes: number[];
  edges: Edge[];
  /** What each look at the drives found. */
  drivesOn: boolean[];
  /** The chip stopped, or was reset by its watchdog. */
  failed: boolean;
}

const WANTED =
  'This proof needs a C compiler and the library of simavr with its headers: apt-get install gcc libsimavr-dev libelf-dev';

/** Compiles the program around simavr; returns its path. Throws with what is missing. */
export function buildSimavrBoard(): string {
  const program = join(mkdtempSync(join(tmpdir(), 'wholeturn-simavr-')), 'simavr-board');
  const source = join(__dirname, 'simavr-board.c');
  try {
    execFileSync('cc', ['-O2', '-Wall', '-Werror', '-I/usr/include/simavr', '-o', program, source, '-lsimavr'], {
      encoding: 'utf8',
      stdio: 'pipe',
    });
  } catch (error) {
    throw new Error(WANTED, { cause: error });
  }
  return program;
}

export function playInAvr8js(board: ChipBoard, acts: readonly Act[]): Played {
  const chip = new AvrChip(board);
  const played: Played = { bytes: [], edges: [], drivesOn: [], failed: false };
  chip.onByte = (byte) => played.bytes.push(byte);
  chip.onStep = (mask, ways) => {
    for (let axis = 0; axis < chip.board.axes; axis++) {
      if ((mask >> axis) & 1) played.edges.push({ axis, way: (ways >> axis) & 1 ? -1 : 1, cycle: chip.cpu.cycles });
    }
  };
  for (const act of acts) {
    if ('write' in act) chip.write(act.write);
    else if ('inputs' in act) chip.setInputs(act.inputs);
    else if ('run' in act) chip.runTicks(act.run);
    else played.drivesOn.push(chip.isOn('enable'));
  }
  played.failed = chip.watchdogBit;
  return played;
}

export function playInSimavr(program: string, board: ChipBoard, acts: readonly Act[]): Played {
  // Never run: it knows which level each contact makes at its pin.
  const contacts = new AvrChip(board);
  const { pins, chip, axes } = contacts.board;
  const pinOf = (signal: string) => pins.find((pin) => pin.signal === signal)!;
  const [step, direction, enable] = ['step.turntable', 'direction.turntable', 'enable'].map(pinOf);
  const inputs = pins.filter(({ kind }) => kind === 'input');
  const levels = (): string[] =>
    [...new Set(inputs.map(({ port }) => port))].map((port) => {
      const mask = inputs.reduce((bits, pin) => (pin.port === port ? bits | (1 << pin.bit) : bits), 0);
      return `p ${port} ${mask} ${contacts.cpu.data[pinAddress(port)]! & mask}`;
    });
  const lines = acts.flatMap((act) => {
    if ('write' in act) return act.write.map((byte) => `w ${byte}`);
    if ('run' in act) return [`r ${act.run * CYCLES_PER_TICK}`];
    if ('lookAtDrives' in act) return [1, 2].map((register) => `d ${pinAddress(enable!.port) + register}`);
    contacts.setInputs(act.inputs);
    return levels();
  });
  const given = [chip.toLowerCase(), imagePath(contacts.board), step!.port, String(pinAddress(direction!.port) + 2)];
  const told = execFileSync(program, given, { input: `${lines.join('\n')}\n`, encoding: 'utf8', maxBuffer: 2 ** 28 });

  const played: Played = { bytes: [], edges: [], drivesOn: [], failed: false };
  const looks: number[] = [];
  for (const line of told.split('\n')) {
    const [kind, ...numbers] = line.split(' ');
    const [first, ways, cycle] = numbers.map(Number) as [number, number, number];
    const axis = first - step!.bit;
    if (kind === 'b') played.bytes.push(first);
    else if (kind === 'd') looks.push((first >> enable!.bit) & 1);
    else if (kind === 'x') played.failed = true;
    else if (kind === 's' && axis >= 0 && axis < axes)
      played.edges.push({ axis, way: (ways >> (direction!.bit + axis)) & 1 ? -1 : 1, cycle });
  }
  // DDR, then PORT; the drives are on at the level that the pin table says.
  const onLevel = enable!.kind === 'output' && enable!.on === 'high' ? 1 : 0;
  for (let at = 0; at < looks.length; at += 2) played.drivesOn.push(looks[at] === 1 && looks[at + 1] === onLevel);
  return played;
}
