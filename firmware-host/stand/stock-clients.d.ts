/** The parts of the two stock Firmata clients that are used; neither package brings types. */
declare module 'firmata-io' {
  import { EventEmitter } from 'node:events';

  export class Firmata extends EventEmitter {
    constructor(transport: EventEmitter, options?: { reportVersionTimeout?: number });
    readonly isReady: boolean;
    readonly version: { major: number; minor: number };
    readonly firmware: { name: string; version: { major: number; minor: number } };
    readonly pins: readonly { supportedModes: readonly number[]; mode?: number; value: number }[];
    readonly MODES: Readonly<Record<'INPUT' | 'OUTPUT' | 'ANALOG' | 'PULLUP', number>>;
    readonly reportVersionTimeoutId: NodeJS.Timeout;
    reportVersion(told: () => void): void;
    queryFirmware(told: () => void): void;
    pinMode(pin: number, mode: number): void;
    digitalWrite(pin: number, value: 0 | 1): void;
    digitalRead(pin: number, told: (value: 0 | 1) => void): void;
    analogRead(channel: number, told: (value: number) => void): void;
    setSamplingInterval(milliseconds: number): void;
    reportDigitalPin(pin: number, on: 0 | 1): void;
    reportAnalogPin(channel: number, on: 0 | 1): void;
    reset(): void;
  }
}

declare module 'johnny-five' {
  import { EventEmitter } from 'node:events';

  export class Board extends EventEmitter {
    constructor(options: { io: EventEmitter; repl: boolean; debug: boolean; sigint: boolean });
    readonly isReady: boolean;
  }

  export class Relay {
    constructor(options: { pin: number; type: 'NO' | 'NC'; board: Board });
    close(): void;
    open(): void;
  }
  export class Led {
    constructor(options: { pin: number; board: Board });
    on(): void;
    off(): void;
  }
  export class Sensor extends EventEmitter {
    constructor(options: { pin: string; freq: number; board: Board });
    readonly raw: number | null;
    disable(): void;
  }
  export class Button extends EventEmitter {
    constructor(options: { pin: number; isPullup: boolean; board: Board });
  }
}
