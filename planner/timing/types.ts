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
