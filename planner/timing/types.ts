import type { AxisName } from '../stand/types';

/** The time law: u(t) at full pace. From rest to rest, jerk-limited, also around every planned rest. */
export interface TimeLaw {
  readonly fromTurns: number;
  readonly toTurns: number;
  readonly durationSeconds: number;
  /** Turntable speed between ramps, turns per second. */
  readonly cruiseTurnsPerSecond: number;
  /** Times (seconds from the law's start) of planned rests inside it, ascending; the end itself is not listed. */
  readonly restSeconds: readonly number[];
  /** Turns walked at time t (clamped to [0, duration]). */
  turnsAt(seconds: number): number;
  /** du/dt, turns per second. */
  speedAt(seconds: number): number;
  /** Inverse of turnsAt. */
  secondsAt(turns: number): number;
}

/** An axis that cannot follow the path at the planned speed. Lengths in mm, angles in turns, times in seconds. */
export interface LimitComplaint {
  axis: AxisName;
  what: 'speed' | 'acceleration' | 'travel';
  needed: number;
  allowed: number;
  unit: string;
  /** Line of the stint in the program file, and turns walked where the need is largest. */
  line: number;
  turns: number;
  /** What would fit: a stroke rate or a turntable speed; null where only the geometry can help (travel). */
  fits: { strokesPerMinute: number } | { turntableRpm: number } | null;
  /** What is wrong, what to do. */
  message: string;
}
