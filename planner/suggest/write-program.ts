/** Writes a choice of stints as a stroke program, with what it is meant to do in its comments. */
import { CLOCKING_SHARE, RATE_TOLERANCE } from '../program/preset';
import type { Stint } from '../program/types';
import { writeProgram } from '../program/write-program';
import type { Glass, Lap, Shelf } from '../shelf/types';
import type { ChosenStint } from './types';

export interface ProgramHead {
  title: string;
  /** Lines for the reader, without the comment sign. */
  remarks: readonly string[];
  glass: Glass;
  lap: Lap;
  slurryId: string | null;
  turntableRpm: number;
  strokesPerMinute: number;
}

/** Every how many strokes a driven lap is clocked, and by what angle; the gearing picks the exact one. Common practice, no source. */
const CLOCK = { everyStrokes: 4, askedDeg: 40 };

/** The text of a complete program in the planner's own format; stints in the order given, remarks beside them. */
export function programText(
  head: ProgramHead,
  chosen: readonly (ChosenStint & { remark: string })[],
  shelf: Shelf,
): string {
  const { title, remarks, glass, lap, slurryId, turntableRpm } = head;
  const slurry = slurryId === null ? null : (shelf.slurries[slurryId] ?? null);
  const stints = chosen.map((one, index) => stintOf(one, head, index + 1));
  const program = { title, file: '', glass, lap, slurry, turntableRpm, stints };
  const beside = new Map(stints.map((stint, i) => [stint, chosen[i]!.remark]));
  return writeProgram(program, { shelf, remarks: { top: remarks, stints: beside } });
}

function stintOf({ candidate, turns }: ChosenStint, { lap, strokesPerMinute }: ProgramHead, line: number): Stint {
  const { settingMm, lengthMm, widthMm, sense, nudge } = candidate;
  return {
    turns,
    shape: widthMm > 0 ? 'ellipse' : 'straight',
    settingMm,
    lengthMm,
    widthMm,
    sense,
    strokesPerMinute,
    rateTolerance: RATE_TOLERANCE,
    nudge,
    clocking: lap.rotation === 'free' ? { kind: 'free' } : { kind: 'steps', ...CLOCK, share: CLOCKING_SHARE },
    line,
    group: line,
  };
}
