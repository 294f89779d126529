/**
 * What a program comes to on a stand. Answers with complaints, never with an exception, when an axis cannot follow or the
 * checker of the steps finds a fault.
 */
import type { GearedStint } from '../gearing/types';
import { planProgram } from '../path/plan';
import type { Path, PathStint, PlannedRest } from '../path/types';
import type { Complaint, Program } from '../program/types';
import type { Stand } from '../stand/types';
import type { LimitComplaint } from '../timing/types';
import { type AxisSteps, checkWalk } from './check-walk';
import { type Finding, findingSentence } from './findings';

export type StintSummary = Pick<
  GearedStint,
  | 'turns'
  | 'strokes'
  | 'strokesPerTurn'
  | 'nudges'
  | 'clockings'
  | 'rateDeviation'
  | 'distinctAzimuths'
  | 'evenness'
  | 'warnings'
> & {
  /** The exact angle of a clocking that the gearing chose; with steady turning per turn of the turntable. */
  clockingDeg: number;
  /** Strokes over which the change from the pattern before is blended; 0 where nothing has to be. */
  blendStrokes: number;
};

export interface ProgramSummary {
  turns: number;
  strokes: number;
  /** At full pace, without the chip's own ramps and the lift. */
  durationSeconds: number;
  segments: number;
  endSteps: AxisSteps;
  travelSteps: AxisSteps;
  stints: StintSummary[];
  /** Where the walk stands still on its way, and why. */
  rests: readonly PlannedRest[];
}

/** The summary of a program on a stand, or what stands in its way. Exactly one of the two is there. */
export function compileProgram(
  program: Program,
  stand: Stand,
): { summary: ProgramSummary; complaints: [] } | { summary: null; complaints: Complaint[] } {
  const { geared, path, law, complaints } = planProgram(program, stand);
  if (law === null) {
    const listed = complaints.map((complaint) => limitComplaint(program, complaint));
    return { summary: null, complaints: listed.length > 0 ? listed : [nothingToDo(program)] };
  }
  const walk = checkWalk(path, law, stand);
  if (walk.findings.length > 0) {
    return { summary: null, complaints: walk.findings.map((finding) => findingComplaint(program, path, finding)) };
  }
  const { segments, endSteps, travelSteps } = walk;
  const summary: ProgramSummary = {
    turns: path.turns,
    strokes: geared.reduce((sum, stint) => sum + stint.strokes, 0),
    durationSeconds: law.durationSeconds,
    segments,
    endSteps,
    travelSteps,
    stints: path.stints.map(stintSummary),
    rests: path.rests,
  };
  return { summary, complaints: [] };
}

function stintSummary({ geared, blendStrokes }: PathStint): StintSummary {
  const { turns, strokes, strokesPerTurn, nudges, clockings, clockingTurns, rateDeviation } = geared;
  const { distinctAzimuths, evenness, warnings } = geared;
  return {
    turns,
    strokes,
    strokesPerTurn,
    nudges,
    clockings,
    clockingDeg: 360 * clockingTurns,
    rateDeviation,
    distinctAzimuths,
    evenness,
    warnings,
    blendStrokes,
  };
}

/** The field of the program file that a person would change to help an axis. */
const FIELD_OF = { turntable: 'turntable', stroke: 'length', radial: 'at', lapTurn: 'clock', spare: 'do' } as const;

function limitComplaint(program: Program, { axis, line, message }: LimitComplaint): Complaint {
  return { file: program.file, line, column: 1, field: FIELD_OF[axis], message };
}

function findingComplaint(program: Program, path: Path, finding: Finding): Complaint {
  const stint = path.stints.find(({ toTurns }) => finding.turns < toTurns) ?? path.stints[path.stints.length - 1];
  const message =
    `The check of the steps before sending found a fault: ${findingSentence(finding)}. Nothing is sent, the glass is not ` +
    'touched. Slower strokes or a gentler change of pattern may help; if the limits of the stand are not near, this is a fault of the planner.';
  return { file: program.file, line: stint?.geared.stint.line ?? 1, column: 1, field: 'do', message };
}

function nothingToDo(program: Program): Complaint {
  return {
    file: program.file,
    line: 1,
    column: 1,
    field: 'do',
    message: 'The program has no turns: write at least one stint.',
  };
}
