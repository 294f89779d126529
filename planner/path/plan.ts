/** The one way in: from a program that was read to where the axes are and when. */
import { gearProgram } from '../gearing/gearing';
import type { GearedStint } from '../gearing/types';
import type { Program } from '../program/types';
import type { Stand } from '../stand/types';
import { planTime } from '../timing/timing';
import type { LimitComplaint, TimeLaw } from '../timing/types';
import { buildPath } from './path';
import type { Path } from './types';

export interface Plan {
  geared: GearedStint[];
  path: Path;
  /** Null when an axis cannot follow; `complaints` say which and what would fit. */
  law: TimeLaw | null;
  complaints: LimitComplaint[];
}

/** @param fromTurns where the walk starts, 0 unless a run is gone on with */
export function planProgram(program: Program, stand: Stand, fromTurns = 0): Plan {
  const geared = gearProgram(program);
  const path = buildPath(geared, program, stand);
  return { geared, path, ...planTime(path, program, stand, fromTurns) };
}
