/**
 * What a program comes to in steps: one streaming pass through compiler and checker, nothing kept. Answers with complaints,
 * never with an exception, when an axis cannot follow or the checker finds a fault.
 */
import type { GearedStint } from '../gearing/types';
import { planProgram } from '../path/plan';
import type { Path, PathStint, PlannedRest } from '../path/types';
import type { Complaint, Program } from '../program/types';
import { AXIS_COUNT, type Stand } from '../stand/types';
import type { LimitComplaint, TimeLaw } from '../timing/types';
import { SegmentChecker } from './checker';
import { type CompileOptions, compileSegments } from './compile';
import { type Finding, findingSentence, UnwalkablePath } from './findings';
import { SEGMENT_BYTES } from './segment';

export interface AxisSteps {
  turntable: number;
  stroke: number;
  radial: number;
  lapTurn: number;
}

export interface WalkSummary {
  segments: number;
  /** Where each axis ends, steps counted from where it began. */
  endSteps: AxisSteps;
  /** Sum of all steps of each axis, whatever their sense. */
  travelSteps: AxisSteps;
  /** What the checker found; empty when the walk may be sent. */
  findings: readonly Finding[];
}

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

/** Compiles and checks a walk from `law.fromTurns` to `law.toTurns`; do this before any of it is sent. */
export function checkWalk(path: Path, law: TimeLaw, stand: Stand, options: CompileOptions = {}): WalkSummary {
  const checker = new SegmentChecker(path, law, stand, { ...options, mode: 'quick' });
  const end = new Float64Array(AXIS_COUNT);
  const travel = new Float64Array(AXIS_COUNT);
  let segments = 0;
  let unwalkable: Finding[] = [];
  try {
    for (const batch of compileSegments(path, law, stand, options)) {
      segments += batch.length / SEGMENT_BYTES;
      count(batch, end, travel);
      if (!checker.take(batch)) break;
    }
  } catch (error) {
    if (!(error instanceof UnwalkablePath)) throw error;
    unwalkable = [error.finding];
  }
  const findings = unwalkable.length > 0 ? unwalkable : checker.finish();
  return { segments, endSteps: axisSteps(end), travelSteps: axisSteps(travel), findings };
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

function count(batch: Uint8Array, end: Float64Array, travel: Float64Array): void {
  for (let offset = 0; offset < batch.length; offset += SEGMENT_BYTES) {
    const directions = batch[offset + 2]!;
    for (let axis = 0; axis < AXIS_COUNT; axis++) {
      const steps = batch[offset + 3 + axis]!;
      travel[axis]! += steps;
      end[axis]! += (directions >> axis) & 1 ? -steps : steps;
    }
  }
}

function axisSteps(steps: Float64Array): AxisSteps {
  return { turntable: steps[0]!, stroke: steps[1]!, radial: steps[2]!, lapTurn: steps[3]! };
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
