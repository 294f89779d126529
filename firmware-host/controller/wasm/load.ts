/**
 * The virtual board in this process: the controller's core and the stand's mechanism in one WebAssembly instance. Ticks are
 * controller ticks (40 kHz), positions are steps, both exact. Nothing here knows of frames or segments.
 */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';

export const TICK_HZ = 40_000;
/** `bootCause` of SPEC 4 for a board that never had power. */
const BOOT_VIRTUAL = 5;

/** The part of the platform's WebAssembly that is used; neither the es2023 library nor Node's types declare it. */
declare const WebAssembly: {
  Module: new (bytes: Uint8Array) => object;
  Instance: new (module: object) => { exports: unknown };
};

interface Exports {
  memory: { buffer: ArrayBuffer };
  board_boot(id: number, cause: number): void;
  board_run(ticks: number): number;
  board_now(): number;
  board_write(byte: number): number;
  board_read(): number;
  board_unread(): number;
  board_overrun(lost: number): void;
  events_record(on: number): void;
  events_count(): number;
  events_list(): number;
  core_level(): number;
  core_target(): number;
  core_path_ticks(): number;
  core_reach(level: number): number;
  core_scratch(): number;
  core_crc(length: number): number;
  replay_start(): void;
  replay_strayed(): number;
  replay_lock_at(tick: number): void;
  replay_room(room: number): void;
  replay_inputs_at(tick: number, mask: number): void;
  replay_boot(id: number, cause: number): void;
  replay_receive(byte: number): void;
  replay_overrun(lost: number): void;
  replay_poll(): void;
  replay_until(tick: number): void;
  accessory_use(number: number): number;
  accessory_contact(number: number, high: number): void;
  accessory_value(number: number, value: number): void;
  replay_wiring(pins: number, count: number, first: number, analogs: number, analogFirst: number): void;
  machine_init(): void;
  machine_force(on: number, off: number): void;
  machine_position(axis: number): number;
  machine_travel(axis: number): number;
  machine_place(axis: number, steps: number): void;
  machine_slip(axis: number, parts: bigint): void;
  machine_mark(axis: number, turn: bigint, partsPerStep: number, width: bigint, at: bigint): void;
  machine_mark_at(axis: number): bigint;
  machine_limits(axis: number, low: number, high: number): void;
  machine_lift(travel: number, free: number, stuck: number): void;
  machine_lift_place(at: number): void;
  machine_lift_at(): number;
  machine_enabled(): number;
  machine_inputs(): number;
}

/** A rising STEP edge: controller tick, mask of the axes that step, mask of those that step in the negative sense. */
export interface StepEvent {
  tick: number;
  step: number;
  direction: number;
}

/**
 * A mark on a turning axis, in parts of a step so that a turn need not be a whole number of steps: 144,640.5 steps a turn are
 * `{ turn: 289281n, partsPerStep: 2, ... }`. The mark is asserted over `width` parts; the axis starts `at` parts past its edge.
 */
export interface TurnMark {
  turn: bigint;
  partsPerStep: number;
  width: bigint;
  at: bigint;
}

const ACCESSORY_USES = ['input', 'pulled up', 'low', 'high'] as const;
export type AccessoryUse = (typeof ACCESSORY_USES)[number];

const modules = new Map<string, object>();

function moduleOf(image: string): object {
  let compiled = modules.get(image);
  if (!compiled) {
    compiled = new WebAssembly.Module(readFileSync(image));
    modules.set(image, compiled);
  }
  return compiled;
}

/** The image that is kept in the repository. */
export const VIRTUAL_IMAGE = join(__dirname, '..', 'images', 'virtual.wasm');

export class VirtualBoard {
  /** Everything the image exports; the methods below are the comfortable part of it. */
  readonly raw: Exports;

  /** A board without power; set the mechanism up, then `boot`. */
  constructor(image: string = VIRTUAL_IMAGE) {
    this.raw = new WebAssembly.Instance(moduleOf(image)).exports as Exports;
    this.raw.machine_init();
  }

  /** Power on, once. A reboot is a new VirtualBoard whose mechanism is put where the old one stood. */
  boot(bootId: number, cause: number = BOOT_VIRTUAL): void {
    this.raw.board_boot(bootId, cause);
  }

  /** Runs controller ticks; returns how many (fewer only when recorded steps were not drained). */
  run(ticks: number): number {
    return this.raw.board_run(ticks);
  }

  /** Controller ticks since boot. */
  get now(): number {
    return this.raw.board_now() >>> 0;
  }

  /** Hands bytes to the line; they go in at 250,000 baud. Returns how many fitted. */
  write(bytes: ArrayLike<number>): number {
    for (let i = 0; i < bytes.length; i++) if (!this.raw.board_write(bytes[i]!)) return i;
    return bytes.length;
  }

  /** Bytes written that the core has not read yet. */
  get unread(): number {
    return this.raw.board_unread();
  }

  /** All bytes the core has sent since the last call. */
  read(): Uint8Array {
    const bytes: number[] = [];
    for (let byte = this.raw.board_read(); byte >= 0; byte = this.raw.board_read()) bytes.push(byte);
    return Uint8Array.from(bytes);
  }

  /** Starts (empty) or ends the recording of steps; while it runs, drain at least every 32,768 edges. */
  recordSteps(on: boolean): void {
    this.raw.events_record(on ? 1 : 0);
  }

  /** Recorded edges since the last drain, oldest first. */
  drainSteps(): StepEvent[] {
    const count = this.raw.events_count();
    const view = new DataView(this.raw.memory.buffer, this.raw.events_list(), count * 8);
    const events: StepEvent[] = [];
    for (let i = 0; i < count; i++) {
      const at = i * 8;
      events.push({
        tick: view.getUint32(at, true),
        step: view.getUint8(at + 4),
        direction: view.getUint8(at + 5),
      });
    }
    this.raw.events_record(1);
    return events;
  }

  /** The whole instance as bytes: core, mechanism, line. `restore` puts it back into this or another board of the same image. */
  snapshot(): Uint8Array {
    return new Uint8Array(this.raw.memory.buffer).slice();
  }

  restore(snapshot: Uint8Array): void {
    new Uint8Array(this.raw.memory.buffer).set(snapshot);
  }

  /** Where an axis stands, steps, as its motor made them. */
  position(axis: number): number {
    return this.raw.machine_position(axis);
  }

  /** Steps an axis has made, both ways added. */
  travel(axis: number): number {
    return this.raw.machine_travel(axis) >>> 0;
  }

  place(axis: number, steps: number): void {
    this.raw.machine_place(axis, steps);
  }

  /** The turntable's index (axis 0) or the lapTurn reference (axis 3). */
  fitMark(axis: 0 | 3, mark: TurnMark): void {
    this.raw.machine_mark(axis, mark.turn, mark.partsPerStep, mark.width, mark.at);
  }

  /** Turns the table (or lap) against its motor, parts of its mark. */
  slip(axis: 0 | 3, parts: bigint): void {
    this.raw.machine_slip(axis, parts);
  }

  /** Parts past the leading edge of the mark. */
  markAt(axis: 0 | 3): bigint {
    return this.raw.machine_mark_at(axis);
  }

  /** Limit switches of stroke (1) or radial (2): asserted at or beyond, steps. */
  fitLimits(axis: 1 | 2, low: number, high: number): void {
    this.raw.machine_limits(axis, low, high);
  }

  /** Travel time, and the part of it after which the lap is free of the glass, ticks; stuck: it stays where it is. */
  fitLift(travelTicks: number, freeTicks: number, stuck = false): void {
    this.raw.machine_lift(travelTicks, freeTicks, stuck ? 1 : 0);
  }

  /** Puts the lift at a height, ticks of travel. */
  placeLift(ticks: number): void {
    this.raw.machine_lift_place(ticks);
  }

  /** Height of the lift, ticks of travel; 0 = down. */
  get liftAt(): number {
    return this.raw.machine_lift_at();
  }

  /** Forces inputs (bits of SPEC 6) asserted or released whatever the mechanism does; 0, 0 frees them. */
  force(asserted: number, released = 0): void {
    this.raw.machine_force(asserted, released);
  }

  /** Inputs as the core's pins see them now. */
  get inputs(): number {
    return this.raw.machine_inputs();
  }

  /** What the core does with an accessory pin. */
  accessory(number: number): AccessoryUse {
    return ACCESSORY_USES[this.raw.accessory_use(number)]!;
  }

  /** The level that a contact gives an accessory pin that is an input; high until it is set. */
  setContact(number: number, high: boolean): void {
    this.raw.accessory_contact(number, high ? 1 : 0);
  }

  /** What the converter reads on an analog pin, 0..1023. */
  setAnalog(number: number, value: number): void {
    this.raw.accessory_value(number, value);
  }

  get drivesEnabled(): boolean {
    return this.raw.machine_enabled() !== 0;
  }
}
