/**
 * A virtual stand behind a pretended serial port: serialport's own mock on the host's side, and a simulation that owns time. Time
 * goes on only here; in between, the mock's promises get their turn.
 */
import { SerialPortMock } from 'serialport';
import type { Port, Ports } from '../../firmware-host/stand/serial/port';
import { SerialLink } from '../../firmware-host/stand/serial/serial-link';
import { Simulation } from '../../firmware-host/virtual/simulation';
import { VirtualStand } from '../../firmware-host/virtual/virtual-stand';
import { demoStand } from '../support/programs';

export const PATH = '/dev/ttyPretended';
const SLICE_SECONDS = 0.005;

/** Whatever sits at the other end of the cable. */
export interface Device {
  /** Bytes that the host sent at this speed. */
  receive(bytes: Uint8Array, baudRate: number): void;
  /** What it says now. */
  take(baudRate: number): Uint8Array;
}

export class SerialBench {
  readonly simulation = new Simulation();
  readonly opened: Port[] = [];
  readonly ports: Ports;
  private device: Device | null = null;

  constructor() {
    SerialPortMock.binding.reset();
    this.plugIn();
    this.ports = {
      list: () => SerialPortMock.list(),
      make: (path, baudRate) => {
        const port = new SerialPortMock({ path, baudRate, autoOpen: false });
        this.opened.push(port);
        return port;
      },
    };
  }

  link(expected = { virtual: true, tickHz: 40_000 }): SerialLink {
    const { clock } = this.simulation;
    return new SerialLink({ clock, linkId: 100, path: PATH, expected, ports: this.ports });
  }

  plugIn(): void {
    SerialPortMock.binding.createPort(PATH, { record: true, manufacturer: 'Maker of boards' });
  }

  /** The cable is pulled: the port is gone from the list and the open one breaks. */
  unplug(): void {
    const port = this.opened.at(-1)!;
    SerialPortMock.binding.reset();
    (port as SerialPortMock)._disconnected(new Error('device not configured'));
  }

  connect(device: Device | null): void {
    this.device = device;
  }

  /** The wasm stand as a device. */
  connectStand(): VirtualStand {
    const stand = new VirtualStand({
      stand: demoStand,
      start: { turntableTurns: 0.25, lapTurns: 0.5, strokeMm: 0, radialMm: 90 },
      bootId: 0x0b00,
    });
    this.simulation.add(stand);
    this.device = deviceOf(stand);
    return stand;
  }

  /** Goes on by so much of the simulation's time. */
  async advance(seconds: number): Promise<void> {
    await this.until(() => false, seconds);
  }

  /** False when the time went by before. */
  async until(done: () => boolean, limitSeconds: number): Promise<boolean> {
    const { clock } = this.simulation;
    const end = clock.now() + limitSeconds;
    while (!done()) {
      if (clock.now() >= end - 1e-9) return false;
      await this.carry();
      this.simulation.advance(Math.min(SLICE_SECONDS, end - clock.now()));
      await this.carry();
    }
    return true;
  }

  /** Until the promise is settled; then what it came to. */
  async settle<T>(promise: Promise<T>, limitSeconds = 20): Promise<T> {
    let settled = false;
    const mark = (): void => {
      settled = true;
    };
    promise.then(mark, mark);
    if (!(await this.until(() => settled, limitSeconds))) throw new Error(`not settled within ${limitSeconds} s`);
    return promise;
  }

  /** What lies in the cable reaches the other end, both ways. */
  private async carry(): Promise<void> {
    // The mock works in a few ticks of promises; a turn of the event loop outlasts them.
    await new Promise(setImmediate);
    const binding = (this.opened.at(-1) as SerialPortMock | undefined)?.port;
    if (binding === undefined || !binding.isOpen) return;
    const baudRate = binding.port.openOpt?.baudRate ?? 0;
    const sent = binding.recording;
    binding.recording = Buffer.alloc(0);
    if (sent.length > 0) this.device?.receive(sent, baudRate);
    const said = this.device?.take(baudRate) ?? new Uint8Array();
    if (said.length > 0) binding.emitData(Buffer.from(said));
    await new Promise(setImmediate);
  }
}

export function deviceOf(stand: VirtualStand): Device {
  const said: Uint8Array[] = [];
  const { pipe } = stand;
  pipe.onBytes((bytes) => said.push(bytes.slice()));
  return {
    receive: (bytes) => pipe.write(Uint8Array.from(bytes)),
    take: () => Buffer.concat(said.splice(0)),
  };
}
