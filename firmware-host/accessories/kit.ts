/** What hangs on the accessory pins, whoever switches it: johnny-five on iron, a model in rehearsals. */
export interface Kit {
  /** Switches an output, by its Firmata pin. */
  set(pin: number, on: boolean): void;
  /** Last reading of an analog channel, 0..1 of the supply; null before the first. */
  reading(channel: number): number | null;
  /** Called at every press. One listener. */
  onFootSwitch(listener: () => void): void;
  /** The controller may have taken its outputs back: sets every pin's use and level again. */
  renew(): void;
  /** Switches everything off that is on. */
  close(): void;
}
