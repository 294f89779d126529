/** What a board must offer to be held against the SPEC: a line, time, contacts to press and motors to watch. */

/** A rising STEP edge: controller tick (from any beginning), axis, sense. */
export interface Edge {
  tick: number;
  axis: number;
  sense: 1 | -1;
}

export interface Port {
  /** `board` code of the SPEC and number of axes that the board under test must own up to. */
  readonly board: number;
  readonly axes: number;
  /** Bits of SPEC section 6 that this board has; its limits may be wired in series. */
  readonly inputs: number;
  readonly limitsInSeries: boolean;
  /** Puts bytes on the line to the board. */
  write(bytes: Uint8Array): void;
  /** Lets controller ticks (40 kHz) go by; returns the bytes the board has sent meanwhile. */
  run(ticks: number): Uint8Array;
  /**
   * Contacts: bits held asserted, bits held released; all others follow the mechanism, whose guard and covers are shut, limits
   * free, and whose lift takes a while to answer.
   */
  hold(asserted: number, released: number): void;
  /** STEP edges since the last call, oldest first. */
  edges(): Edge[];
  drivesOn(): boolean;
  /** The lift output says down. */
  lowered(): boolean;
}

/** One rule of the SPEC that can be seen from outside. */
export interface Case {
  section: number;
  rule: string;
  run(port: Port): void;
}

export const TICK_HZ = 40_000;
