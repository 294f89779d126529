/** What a board must offer to be held against the SPEC: a line, time, contacts to press and, where somebody sees them, its outputs. */

/** A rising STEP edge: controller tick (from any beginning), axis, sense. */
export interface Edge {
  tick: number;
  axis: number;
  sense: 1 | -1;
}

/** Outputs of the board, looked at directly. */
export interface Pins {
  /** STEP edges since the last call, oldest first. */
  edges(): Edge[];
  drivesOn(): boolean;
  /** The lift output says down. */
  lowered(): boolean;
}

export interface Port {
  /** `board` code of the SPEC and number of axes that the board under test must own up to. */
  readonly board: number;
  readonly axes: number;
  /** Bits of SPEC section 6 that this board has; its limits may be wired in series. */
  readonly inputs: number;
  readonly limitsInSeries: boolean;
  /** Longest way of a question to the board and of its answer back, beyond the time of the bytes themselves, in controller ticks. */
  readonly latencyTicks: number;
  /** A board on a table: no mechanism answers its outputs, and a person's hands move its contacts. */
  readonly bare: boolean;
  /** Null where nobody sees them. */
  readonly pins: Pins | null;
  /**
   * Bits of inputs that a wire joins to an output of the same board: one asserted while ENABLE is on, one asserted while LOWER is off.
   * 0 where there is no such wire.
   */
  readonly echo: { enable: number; notLowered: number };
  /** Somebody new listens: the rest of a message whose beginning they did not hear is not for them. */
  listen?(): void;
  /** Controller ticks (40 kHz) that went by on this port since some moment of its own. */
  now(): number;
  /** Puts bytes on the line to the board. */
  write(bytes: Uint8Array): void;
  /** Lets so many ticks go by (on a bare board at least so many); returns the bytes the board has sent meanwhile. */
  run(ticks: number): Uint8Array;
  /**
   * Contacts: bits held asserted, bits held released; all others follow the mechanism, whose guard and covers are shut, limits
   * free, and whose lift takes a while to answer (on a bare board: lift up as long as LOWER is off). A person takes a while to do it.
   */
  hold(asserted: number, released: number): void;
  /** Whether contacts are where `hold` wants them, from what a report tells of them. */
  settled(inputs: number): boolean;
  /** Takes down what a case measured, or the name of an output it would have looked at and could not see. */
  note?(kind: 'measured' | 'unseen', words: string): void;
}

/** One rule of the SPEC that can be seen from outside. */
export interface Case {
  section: number;
  rule: string;
  /**
   * What it takes beside the line on a bare board: a person's hands at the contacts, or a look at single steps and ticks that only an
   * emulation offers. Left out: the line is enough.
   */
  needs?: 'hands' | 'emulation';
  /** The board must have booted just before, with these inputs released. A board that runs since long is as good for all others. */
  boot?: { released: number };
  run(port: Port): void;
}

export const TICK_HZ = 40_000;
