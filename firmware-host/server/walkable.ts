/** From files that were read to a program that can be walked, with run control and logbook each in a thread of its own. */

import type { Complaint, Program } from '../../planner/program/types';
import type { Glass, Shelf } from '../../planner/shelf/types';
import type { Stand } from '../../planner/stand/types';
import { compileProgram } from '../../planner/steps/summary';
import type { Interrupted } from '../logbook/left-open';
import { describeRun } from '../logbook/recorder';
import type { LogbookWriter } from '../logbook/writer';
import { planRun } from '../run/plan';
import { RunThread } from '../run/thread-host';
import type { StandChoice } from '../run/thread-messages';
import type { WornGlass } from '../virtual/glass/what-it-did';
import type { Walkable } from './run-desk';

export interface PlannedFiles {
  program: Program;
  programText: string;
  shelf: Shelf;
  stand: Stand;
}

export interface Stage {
  writer: LogbookWriter;
  /** Which stand the next run control gets; asked anew for each. Rejects with words where it is not to be used. */
  choice(program: Program, stand: Stand): Promise<StandChoice>;
  /** A run on the virtual stand has worn its glass. */
  worn(glass: Glass, worn: WornGlass): void;
  /** The removal coefficient known best for it, 1/Pa. */
  kPerPa(program: Program): number;
  /** A run of this very program that was cut short and can be gone on with. */
  interrupted(files: PlannedFiles): Interrupted | null;
}

/** Plans a program for the stand; complaints where it cannot be walked. */
export function walkableOf(files: PlannedFiles, stage: Stage): Walkable | Complaint[] {
  const { program, stand, shelf } = files;
  const { summary, complaints } = compileProgram(program, stand);
  const plan = planRun(program, stand);
  if (summary === null || Array.isArray(plan)) return complaints;
  return {
    plan,
    shelf,
    summary,
    begin: async (tell) => {
      const choice = await stage.choice(program, stand);
      return RunThread.begin({
        program,
        stand,
        choice,
        interrupted: stage.interrupted(files),
        kPerPa: stage.kPerPa(program),
        recorder: stage.writer.recorderPort(
          describeRun(files, summary, {
            virtual: choice.kind === 'virtual' || stand.virtual,
            kind: choice.kind === 'virtual' ? 'rehearsal' : 'run',
          }),
        ),
        happened: tell,
        worn: (worn) => stage.worn(program.glass, worn),
        died: (words) => tell('stop', null, words),
      });
    },
  };
}
