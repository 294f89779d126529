/**
 * The numbers of one gearing, over all occurrences of a group together: M strokes in N turns, a nudge on every n-th stroke, the
 * lap turned on every m-th. Everything else (periods, distinct azimuths, where a stroke falls) follows from them.
 *
 * Occurrences begin at the index after a whole number of turns, so stroke i of the group falls at azimuth i N/M of a turn
 * whichever occurrence it is in; only what turns the lap in between (other stints) tells them apart.
 */
export interface Pattern {
  /** N: turns of all occurrences. */
  turns: number;
  /** M: double strokes of all occurrences. */
  strokes: number;
  occurrences: number;
  /** n: every n-th stroke is nudged; 0 without nudges. */
  nudgeEvery: number;
  /** m: the lap is clocked on every m-th stroke; 0 when it is not clocked in steps. */
  clockEvery: number;
  /** J: turns of the lap (in the stand) over the whole group, signed. Whole when the orientation closes. */
  lapTurns: number;
}

export function gcd(a: number, b: number): number {
  let [x, y] = [Math.abs(a), Math.abs(b)];
  while (y > 0) [x, y] = [y, x % y];
  return x;
}

/** L = lcm(n, m): strokes after which nudges and clockings repeat. */
export function periodStrokes(nudgeEvery: number, clockEvery: number): number {
  const n = nudgeEvery || 1;
  const m = clockEvery || 1;
  return (n / gcd(n, m)) * m;
}

/** C: clockings in the whole group. */
export function clockingCount(pattern: Pattern): number {
  return pattern.clockEvery > 0 ? Math.floor(pattern.strokes / pattern.clockEvery) : 0;
}

/** Whether a whole number of periods fills the group, so that neither nudges nor clockings break off. */
export function closes(pattern: Pattern): boolean {
  return pattern.strokes % periodStrokes(pattern.nudgeEvery, pattern.clockEvery) === 0;
}

/** Whether gearing turns the lap more than once, so that its own orders can average out. */
export function lapTakesTurns(pattern: Pattern): boolean {
  return pattern.lapTurns !== 0 && (pattern.clockEvery === 0 || clockingCount(pattern) > 1);
}

/** How many different azimuths the pattern's period begins at; K / gcd(K, N) where K periods fill the group. */
export function distinctAzimuths(pattern: Pattern): number {
  const { strokes, turns } = pattern;
  const period = periodStrokes(pattern.nudgeEvery, pattern.clockEvery);
  return Math.min(Math.ceil(strokes / period), strokes / gcd(period * turns, strokes));
}

/** Orientation of the lap during stroke i, in turns: as it is before the step that the stroke itself may bring. */
export function lapOrientation(pattern: Pattern, stroke: number): number {
  const { clockEvery, lapTurns, strokes } = pattern;
  if (clockEvery === 0) return (lapTurns * stroke) / strokes;
  const clockings = clockingCount(pattern);
  return clockings === 0 ? 0 : (Math.floor(stroke / clockEvery) * lapTurns) / clockings;
}
