import { AXES } from '../stand/types';

/** What can be wrong with a stream of segments, or with a path on its way into one. */
export type FindingKind =
  /** The stream is not made of whole segments. */
  | 'broken bytes'
  | 'ticks'
  | 'flags'
  | 'directions'
  /** More steps than half the ticks. */
  | 'steps'
  /** A direction changes while the axis is fast on either side of the border. */
  | 'sign rule'
  /** A direction bit changes on an axis that takes no steps. */
  | 'idle direction'
  | 'fast rest'
  | 'missing rest'
  | 'stray rest'
  /** The axes do not stand where the path begins. */
  | 'start'
  | 'off the path'
  | 'speed'
  | 'acceleration'
  | 'travel'
  | 'ends early'
  | 'goes on'
  | 'end'
  /** The sag bound cannot be kept with the shortest segment. */
  | 'sag';

export interface Finding {
  kind: FindingKind;
  /** Number of the segment, counted from the stream's first = 0. */
  segment: number;
  /** Seconds of path time since the stream's start, and turns walked, at the segment's end. */
  seconds: number;
  turns: number;
  /** Index into `AXES`; -1 where it is not about one axis. */
  axis: number;
  /** What was found and what it may be at most, in the unit that `words` tells. */
  value: number;
  limit: number;
  words: string;
}

/** Thrown by the compiler where a path cannot be written as segments; `compileProgram` turns it into a complaint. */
export class UnwalkablePath extends Error {
  override readonly name = 'UnwalkablePath';
  constructor(readonly finding: Finding) {
    super(findingSentence(finding));
  }
}

/** One sentence for a person: what, which axis, where. */
export function findingSentence(finding: Finding): string {
  const axis = finding.axis >= 0 ? `${AXES[finding.axis]}: ` : '';
  const at = `at ${finding.turns.toFixed(4)} turns (${finding.seconds.toFixed(3)} s, segment ${finding.segment})`;
  return `${axis}${finding.words} ${at}`;
}
