import type { GearedStint } from '../../planner/gearing/types';
import { BEFORE_LEARNING } from '../../planner/learn/combine';
import { planProgram } from '../../planner/path/plan';
import type { Path } from '../../planner/path/types';
import type { Program } from '../../planner/program/types';
import type { Stand } from '../../planner/stand/types';
import { planTime } from '../../planner/timing/timing';
import type { LimitComplaint, TimeLaw } from '../../planner/timing/types';
import { Trouble } from './procedure';

/** A program that the stand can walk, planned. */
export interface RunPlan {
  program: Program;
  stand: Stand;
  geared: GearedStint[];
  path: Path;
  /** The whole walk's law. */
  law: TimeLaw;
  /** Removal coefficient that forecasts are made with, 1/Pa: the learned one, or the published one. */
  kPerPa: number;
  /** The law of a part of the walk, rest to rest. Throws Trouble where there is none. */
  lawOf(fromTurns: number, toTurns: number): TimeLaw;
}

/** The plan, or what an axis of the stand cannot follow. */
export function planRun(
  program: Program,
  stand: Stand,
  kPerPa: number = BEFORE_LEARNING.kPerPa,
): RunPlan | LimitComplaint[] {
  const { geared, path, law, complaints } = planProgram(program, stand);
  if (law === null) return complaints;
  const lawOf = (fromTurns: number, toTurns: number): TimeLaw => {
    const part = planTime(path, program, stand, fromTurns, toTurns);
    if (part.law === null)
      throw new Trouble(
        part.complaints[0]?.message ?? `a walk from turn ${fromTurns} to ${toTurns} that cannot be planned`,
      );
    return part.law;
  };
  return { program, stand, geared, path, law, kPerPa, lawOf };
}
