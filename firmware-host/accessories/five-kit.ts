/**
 * Accessories on iron, by johnny-five over unmodified firmata-io on the line that the walk uses too. Both work with the clock on the wall,
 * so this is for real stands only.
 */
import { once } from 'node:events';
import { Firmata } from 'firmata-io';
import { Board, Button, Led, Relay, Sensor } from 'johnny-five';
import type { Accessories } from '../../planner/stand/accessories';
import type { HostClock } from '../stand/clock';
import { type FirmataLine, FirmataTransport } from '../stand/firmata-transport';
import type { Kit } from './kit';

/** The client asks once by itself; a report lost on the way would leave it waiting for ever. */
const ASK_AGAIN_SECONDS = 1;
const ASKED_TIMES = 5;
const FIRST_ASK_MS = 200;
const SENSOR_MS = 250;
const FULL_SCALE = 1023;

/** Rejects when the controller does not answer as a Firmata board. `line` must be open. */
export async function fiveKit(line: FirmataLine, accessories: Accessories, clock: HostClock): Promise<Kit> {
  const transport = new FirmataTransport(line);
  const io = new Firmata(transport, { reportVersionTimeout: FIRST_ASK_MS });
  // Whatever else it trips over, the walk shares this process.
  io.on('error', () => {});
  transport.open();
  try {
    await ready(io, clock);
  } catch (error) {
    transport.close();
    throw error;
  }
  const board = new Board({ io, repl: false, debug: false, sigint: false });
  await once(board, 'ready');
  return new FiveKit(transport, io, board, accessories);
}

async function ready(io: Firmata, clock: HostClock): Promise<void> {
  for (let asked = 0; !io.isReady; asked++) {
    if (asked === ASKED_TIMES) throw new Error('The controller does not answer for its accessory pins.');
    let cancel = (): void => {};
    const late = new Promise<void>((resolve) => {
      cancel = clock.after(ASK_AGAIN_SECONDS, resolve);
    });
    await Promise.race([once(io, 'ready'), late]);
    cancel();
    if (!io.isReady) io.queryFirmware(() => {});
  }
}

class FiveKit implements Kit {
  private readonly outputs = new Map<number, { turn: (on: boolean) => void; on: boolean }>();
  private readonly sensors = new Map<number, Sensor>();
  private readonly footSwitch: number | null;
  private pressed = (): void => {};

  constructor(
    private readonly transport: FirmataTransport,
    private readonly io: Firmata,
    board: Board,
    { slurry, tower, buzzer, footSwitch, sensors }: Accessories,
  ) {
    this.footSwitch = footSwitch;
    const relay = (pin: number): void => {
      const part = new Relay({ pin, type: 'NO', board });
      this.outputs.set(pin, { turn: (on) => (on ? part.close() : part.open()), on: false });
    };
    if (slurry?.pump) relay(slurry.pump.pin);
    if (buzzer !== null) relay(buzzer);
    if (tower !== null)
      for (const pin of [tower.red, tower.yellow, tower.green]) {
        const lamp = new Led({ pin, board });
        this.outputs.set(pin, { turn: (on) => (on ? lamp.on() : lamp.off()), on: false });
      }
    for (const { rule } of sensors)
      this.sensors.set(rule.channel, new Sensor({ pin: `A${rule.channel}`, freq: SENSOR_MS, board }));
    if (footSwitch !== null) new Button({ pin: footSwitch, isPullup: true, board }).on('down', () => this.pressed());
    // A Relay leaves the pin's use as it is.
    this.renew();
  }

  set(pin: number, on: boolean): void {
    const output = this.outputs.get(pin);
    if (output === undefined || output.on === on) return;
    output.on = on;
    output.turn(on);
  }

  reading(channel: number): number | null {
    const raw = this.sensors.get(channel)?.raw ?? null;
    return raw === null ? null : raw / FULL_SCALE;
  }

  onFootSwitch(listener: () => void): void {
    this.pressed = listener;
  }

  renew(): void {
    const { io } = this;
    for (const [pin, { on }] of this.outputs) {
      io.pinMode(pin, io.MODES.OUTPUT);
      io.digitalWrite(pin, on ? 1 : 0);
    }
    if (this.footSwitch !== null) {
      io.pinMode(this.footSwitch, io.MODES.PULLUP);
      io.reportDigitalPin(this.footSwitch, 1);
    }
    for (const channel of this.sensors.keys()) io.reportAnalogPin(channel, 1);
  }

  close(): void {
    for (const pin of this.outputs.keys()) this.set(pin, false);
    for (const sensor of this.sensors.values()) sensor.disable();
    this.transport.close();
  }
}
