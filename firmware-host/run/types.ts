/**
 * Run states and commands of ISA-TR88.00.02 (numbers as in its StateCurrent list). They are inside only: screens and the
 * terminal show the plain words of `PLAIN_WORDS`.
 */
export const RUN_STATES = {
  Clearing: 1,
  Stopped: 2,
  Starting: 3,
  Idle: 4,
  Suspended: 5,
  Execute: 6,
  Stopping: 7,
  Aborting: 8,
  Aborted: 9,
  Holding: 10,
  Held: 11,
  Unholding: 12,
  Suspending: 13,
  Unsuspending: 14,
  Resetting: 15,
  Completing: 16,
  Complete: 17,
} as const;
export type RunState = keyof typeof RUN_STATES;

/** What a person or a rule may ask for. */
export type RunCommand =
  | 'reset'
  | 'start'
  | 'stop'
  | 'stopAtTurnEnd'
  | 'hold'
  | 'unhold'
  | 'suspend'
  | 'unsuspend'
  | 'abort'
  | 'clear';

/** Result of `rehearse` and `run`; scripts read these fields. */
export interface RunReport {
  state: RunState;
  turnsWalked: number;
  endSteps: AxisCounts;
  travelSteps: AxisCounts;
  slipSteps: number;
  /** Furthest that the table was found off at an index, degrees. */
  worstSlipDegrees: number;
  underruns: number;
  droopTicks: number;
  /** Frames that came damaged, either way, and frames sent again. */
  damagedFrames: number;
  resentFrames: number;
  durationSeconds: number;
  runId: string;
  /** The lap was up all the way: nothing was taken off. */
  air: boolean;
}

export interface AxisCounts {
  turntable: number;
  stroke: number;
  radial: number;
  lapTurn: number;
}
