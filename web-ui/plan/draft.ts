/**
 * A program while it is being planned. It remembers what a switch has put aside (the width of a stroke that is straight just now, the
 * nudge that is off), so that switching back loses nothing; a program made of it holds only what counts.
 */
import { type Folded, foldStints } from '../../planner/program/fold';
import { BY_HAND, CLOCKING_SHARE, RATE_TOLERANCE } from '../../planner/program/preset';
import type { Clocking, Program, Shape, Stint } from '../../planner/program/types';
import type { Glass, Lap, Slurry } from '../../planner/shelf/types';

/** Lengths in mm, angles in degrees, rates a minute, as in a program. */
export interface StintDraft {
  kind: 'stint';
  id: number;
  turns: number;
  shape: Shape;
  settingMm: number;
  lengthMm: number;
  widthMm: number;
  sense: 1 | -1;
  strokesPerMinute: number;
  rateTolerance: number;
  nudged: boolean;
  nudgeByMm: number;
  nudgeEvery: number;
  clocking: Clocking['kind'];
  clockByDeg: number;
  clockEvery: number;
  clockShare: number;
  steadyTurns: number;
  handByDeg: number;
  handEveryTurns: number;
}

export interface RepeatDraft {
  kind: 'repeat';
  id: number;
  times: number;
  steps: StepDraft[];
}

export type StepDraft = StintDraft | RepeatDraft;

export interface Draft {
  title: string;
  glass: Glass;
  lap: Lap;
  slurry: Slurry | null;
  turntableRpm: number;
  steps: StepDraft[];
}

const REMEMBERED = {
  widthMm: 16,
  nudged: false,
  nudgeByMm: 8,
  nudgeEvery: 5,
  clockByDeg: 40,
  clockEvery: 3,
  clockShare: CLOCKING_SHARE,
  steadyTurns: 0.37,
  handByDeg: BY_HAND.byDeg,
  handEveryTurns: BY_HAND.everyTurns,
};

/** A first stint: at 60 % of the radius, as long as the lap is wide, clocked so that facets leave no pattern. */
export function firstStint(id: number, glass: Glass, lap: Lap): StintDraft {
  return {
    ...REMEMBERED,
    kind: 'stint',
    id,
    turns: 9,
    shape: 'straight',
    settingMm: Math.round(0.3 * glass.diameterMm),
    lengthMm: Math.min(Math.round(lap.outline.diameterMm), Math.round(0.5 * glass.diameterMm)),
    sense: 1,
    strokesPerMinute: 44,
    rateTolerance: RATE_TOLERANCE,
    clocking: 'steps',
  };
}

/** A new program for the same glass, lap and turntable. */
export function newDraft(like: Pick<Program, 'glass' | 'lap' | 'slurry' | 'turntableRpm'>): Draft {
  const { glass, lap, slurry, turntableRpm } = like;
  return { title: 'A new program', glass, lap, slurry, turntableRpm, steps: [firstStint(1, glass, lap)] };
}

/** A draft of a program that is there; its repeats are found again. */
export function draftOf(program: Program): Draft {
  const { title, glass, lap, slurry, turntableRpm, stints } = program;
  let next = 1;
  const stepOf = (folded: Folded): StepDraft => {
    const id = next++;
    return folded.kind === 'repeat'
      ? { kind: 'repeat', id, times: folded.times, steps: folded.steps.map(stepOf) }
      : stintDraft(id, folded.stint);
  };
  return { title, glass, lap, slurry, turntableRpm, steps: foldStints(stints).map(stepOf) };
}

function stintDraft(id: number, stint: Stint): StintDraft {
  const { clocking, nudge } = stint;
  return {
    ...REMEMBERED,
    kind: 'stint',
    id,
    turns: stint.turns,
    shape: stint.shape,
    settingMm: stint.settingMm,
    lengthMm: stint.lengthMm,
    ...(stint.shape === 'ellipse' && { widthMm: stint.widthMm }),
    sense: stint.sense,
    strokesPerMinute: stint.strokesPerMinute,
    rateTolerance: stint.rateTolerance,
    ...(nudge && { nudged: true, nudgeByMm: nudge.byMm, nudgeEvery: nudge.everyStrokes }),
    clocking: clocking.kind,
    ...(clocking.kind === 'steps' && {
      clockByDeg: clocking.askedDeg,
      clockEvery: clocking.everyStrokes,
      clockShare: clocking.share,
    }),
    ...(clocking.kind === 'steady' && { steadyTurns: clocking.lapTurnsPerTurn }),
    ...(clocking.kind === 'byHand' && { handByDeg: clocking.byDeg, handEveryTurns: clocking.everyTurns }),
  };
}

/** Every stint once, in the order of the list; its number for people is its place here, counted from 1. */
export function writtenStints(draft: Pick<Draft, 'steps'>): StintDraft[] {
  const flat = (step: StepDraft): StintDraft[] => (step.kind === 'stint' ? [step] : step.steps.flatMap(flat));
  return draft.steps.flatMap(flat);
}

/** Turns that each stint gets, its repeats counted in, by its id. */
export function turnsOfStints(draft: Pick<Draft, 'steps'>): Map<number, number> {
  const turns = new Map<number, number>();
  const count = (steps: readonly StepDraft[], times: number): void => {
    for (const step of steps) {
      if (step.kind === 'stint') turns.set(step.id, times * step.turns);
      else count(step.steps, times * step.times);
    }
  };
  count(draft.steps, 1);
  return turns;
}

export function totalTurns(draft: Pick<Draft, 'steps'>): number {
  let total = 0;
  for (const turns of turnsOfStints(draft).values()) total += turns;
  return total;
}

/** How the lap turns in a stint, given the lap: a free one turns as friction will have it, whatever the draft remembers. */
export function clockingOf(stint: StintDraft, lap: Lap): Clocking {
  if (lap.rotation === 'free') return { kind: 'free' };
  switch (stint.clocking) {
    case 'steps':
      return {
        kind: 'steps',
        everyStrokes: stint.clockEvery,
        askedDeg: stint.clockByDeg,
        share: stint.clockShare,
      };
    case 'steady':
      return { kind: 'steady', lapTurnsPerTurn: stint.steadyTurns };
    case 'byHand':
      return { kind: 'byHand', everyTurns: stint.handEveryTurns, byDeg: stint.handByDeg };
    default:
      return { kind: 'none' };
  }
}

/** @param number the stint's number for people; it stands in for the line of a file, so complaints find their way back */
export function stintOf(stint: StintDraft, lap: Lap, number: number): Stint {
  const ellipse = stint.shape === 'ellipse';
  return {
    turns: stint.turns,
    shape: stint.shape,
    settingMm: stint.settingMm,
    lengthMm: stint.lengthMm,
    widthMm: ellipse ? stint.widthMm : 0,
    sense: ellipse ? stint.sense : 1,
    strokesPerMinute: stint.strokesPerMinute,
    rateTolerance: stint.rateTolerance,
    nudge: stint.nudged ? { everyStrokes: stint.nudgeEvery, byMm: stint.nudgeByMm } : null,
    clocking: clockingOf(stint, lap),
    line: number,
    group: number - 1,
  };
}

/** The program, repeats unrolled. Ask `totalTurns` first: there are as many stints as that at most. */
export function programOf(draft: Draft): Program {
  const { title, glass, lap, slurry, turntableRpm } = draft;
  const numbers = new Map(writtenStints(draft).map(({ id }, index) => [id, index + 1]));
  const unroll = (step: StepDraft): Stint[] =>
    step.kind === 'stint'
      ? [stintOf(step, lap, numbers.get(step.id)!)]
      : Array.from({ length: step.times }, () => step.steps.flatMap(unroll)).flat();
  return {
    title: title.trim() || 'Without a title',
    file: 'planned on a page',
    glass,
    lap,
    slurry,
    turntableRpm,
    stints: draft.steps.flatMap(unroll),
  };
}
