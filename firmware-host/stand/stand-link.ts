/**
 * StandLink: the one interface between the host and whatever walks segments — the virtual stand, the emulated chip, a serial
 * port. It knows nothing of programs, turns or glass. Bytes and rules: ../controller/SPEC.md.
 *
 * Every method returns at once; what became of it is told by status. Nothing here throws for what a stand may do by itself:
 * a stand that is gone is reported through onLost.
 */
export type StopCause =
  | 'halt'
  | 'drive fault'
  | 'guard open'
  | 'limit'
  | 'lift late'
  | 'system reset'
  | 'bad segment'
  | 'link errors';

export type BootCause = 'power' | 'external' | 'brown-out' | 'watchdog' | 'virtual';
export type LiftState = 'unknown' | 'up' | 'rising' | 'down' | 'falling';

/** A place in the segment stream since the last open or flush; null where none was latched yet. */
export interface StreamPlace {
  /** Number of the segment, counted on from 0 by the host beyond the 16 bits of the wire. -1: before the first. */
  segment: number;
  /** Path ticks of it still to walk. */
  ticksLeft: number;
}

export interface StandInputs {
  halt: boolean;
  guard: boolean;
  driveFault: boolean;
  index: boolean;
  strokeLow: boolean;
  strokeHigh: boolean;
  radialLow: boolean;
  radialHigh: boolean;
  lapTurnReference: boolean;
  liftUp: boolean;
  liftDown: boolean;
  freeOfGlass: boolean;
}

/** Named counter for each way a frame can fail, as the controller counts them. */
export interface LinkCounters {
  crc: number;
  length: number;
  type: number;
  link: number;
  sequence: number;
  aborted: number;
  overrun: number;
  refused: number;
}

/** What went wrong on the line as this end saw it, since it was first opened. */
export interface LineTally {
  /** Frames of the controller that came damaged. */
  damaged: number;
  /** Frames that had to be sent again. */
  sentAgain: number;
}

export interface StandStatus {
  bootId: number;
  /** The stand's own clock, seconds since its boot. */
  clockSeconds: number;
  place: StreamPlace;
  segmentsAccepted: number;
  ringFree: number;
  /** 0..1. */
  pace: number;
  paceTarget: number;
  /** Standing still with no pace asked for: nothing moves again without a command. */
  atRest: boolean;
  atPlannedRest: boolean;
  drivesOn: boolean;
  drivesReady: boolean;
  positionLost: boolean;
  hostSilent: boolean;
  lift: LiftState;
  inputs: StandInputs;
  latchedStop: StopCause | null;
  stopPlace: StreamPlace | null;
  seek: { on: boolean; latched: StreamPlace | null };
  index: { count: number; place: StreamPlace | null };
  droopTicks: number;
  underruns: number;
  counters: LinkCounters;
}

export interface StandIdentity {
  /** What a person reads: "Virtual stand (WebAssembly core)". */
  words: string;
  virtual: boolean;
  protocol: number;
  bootId: number;
  bootCause: BootCause;
  board: string;
  axes: number;
  tickHz: number;
  imageHash: number;
  /** The small board: its four limits are in series, so they always read alike; lapTurn reference and free of glass are not there. */
  fewInputs: boolean;
  /**
   * Where the walk stood when this link replaced the one this StandLink had before (cable out and in again), in the numbers
   * of that one; null where the controller has rebooted since or another host was there.
   */
  before: StreamPlace | null;
  /** Number of this link. Kept with the place of a walk, it lets a later host know whether the controller still tells of that walk. */
  link: number;
  /** What stood when this link was opened, whoever's link it was: its number, segments begun in the wire's 16 bits, ticks left. */
  found: { link: number; segmentsBegun: number; ticksLeft: number };
}

export interface OpenOptions {
  rampMs: number;
  hostSilentMs: number;
  liftTimeoutMs: number;
  enableDelayMs: number;
}

export interface SeekRequest {
  inputs: Partial<StandInputs>;
}

export interface StandLink {
  open(options: OpenOptions): Promise<StandIdentity>;
  /** Segments (8 bytes each) that may be pushed now without overfilling ring or line. */
  room(): number;
  push(segments: Uint8Array): void;
  /** Target 0..1 of the planned speed. */
  pace(target: number): void;
  /** Never queued behind anything. */
  ease(): void;
  drives(on: boolean): void;
  lift(direction: 'up' | 'down'): void;
  seek(request: SeekRequest | null): void;
  /** At rest only; resolves with the place that stood, after which numbers start at 0. */
  flush(): Promise<StreamPlace>;
  clear(): void;
  /** Call often (at least every 100 ms): moves the application counter of the heartbeat on. */
  alive(): void;
  tally(): LineTally;
  onStatus(listener: (status: StandStatus) => void): () => void;
  onRefused(listener: (words: string) => void): () => void;
  onLost(listener: (words: string) => void): () => void;
  close(): Promise<void>;
}
