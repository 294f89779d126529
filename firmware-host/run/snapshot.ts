/** What a person or a page is told of a run: the whole picture at one moment, and what it came to. */
import { AXES } from '../../planner/stand/types';
import type { AccessoryShown } from '../accessories/attendant';
import type { LiftState, LineTally, StandIdentity, StandStatus, StopCause } from '../stand/stand-link';
import type { MeasuredSlip } from './index-watch';
import { modelWords, type RunModel } from './reducer';
import type { AxisCounts, RunState } from './types';
import type { Walker } from './walker';
import {
  ABOUT_TO_MOVE,
  BOOT_CAUSE_WORDS,
  glassWords,
  goOnWords,
  HAND_CLOCKING,
  handClockingWords,
  JUST_SWITCHED_ON,
  NOTHING_TAKEN_OFF,
  nextWords,
} from './words';

export interface RunSnapshot {
  state: RunState;
  /** The state in plain words. */
  words: string;
  /** What to do next, in words; empty while it runs. */
  next: string;
  runId: string | null;
  turnsWalked: number;
  /** Turns a second now. */
  turnsPerSecond: number;
  /** Share of the planned speed now, and wanted. */
  pace: number;
  paceTarget: number;
  /** Seconds to the end at the wanted pace. */
  secondsLeft: number;
  /** Path queued in the stand, seconds at full pace: how long the host may be late. */
  queuedSeconds: number;
  lift: LiftState;
  latchedStop: StopCause | null;
  linkLost: boolean;
  /** Frames damaged and sent again since the run began. */
  line: LineTally;
  /** Where the lap is and what that means for the glass, in words. */
  glass: string;
  /** How far off the table was at the last index, and the furthest of this run; null before the first. */
  slip: (MeasuredSlip & { worstDegrees: number; madeGoodSteps: number }) | null;
  /** Seconds of the stand until something moves; null while nothing is about to. */
  startsInSeconds: number | null;
  /** The lap stays up all the way. */
  air: boolean;
  /** Found as it came up with its power: it must be cleared, and nothing is wrong. */
  switchedOn: boolean;
  /** Where a stopped run stood, if it can go on. */
  stoodAtTurns: number | null;
  /** Where a run stands that was cut short in an earlier launch, in words: a person looks at the lap before it goes on. */
  cutShort: string | null;
  /** The index at which it will stop, if it was asked to. */
  restsAtTurns: number | null;
  virtual: boolean;
  standWords: string;
  /** Pump and sensors, in words; filled in by whoever looks after them. */
  accessories: readonly AccessoryShown[];
}

export interface Seen {
  model: RunModel;
  walker: Walker;
  status: StandStatus;
  identity: StandIdentity;
  line: LineTally;
  runId: string | null;
  cutShort: string | null;
}

export function snapshotOf({ model, walker, status, identity, line, runId, cutShort }: Seen): RunSnapshot {
  const { startsInSeconds } = walker;
  const stoodAtTurns = /^(Stopped|Idle|Resetting)$/.test(model.state) && walker.canGoOn ? walker.turnsWalked : null;
  const switchedOn = isSwitchedOn(model);
  const said = startsInSeconds !== null ? ABOUT_TO_MOVE : switchedOn ? JUST_SWITCHED_ON : null;
  return {
    state: model.state,
    words: said?.words ?? modelWords(model),
    next: said?.next ?? nextStep(model, walker, stoodAtTurns),
    runId,
    turnsWalked: walker.turnsWalked,
    turnsPerSecond: walker.turnsPerSecond,
    pace: status.pace,
    paceTarget: walker.pace,
    secondsLeft: walker.secondsLeft,
    queuedSeconds: walker.queuedSeconds,
    lift: status.lift,
    latchedStop: status.latchedStop,
    linkLost: model.linkLost,
    line,
    glass: glassWords(status.lift, model.state === 'Execute' && !status.atRest, !model.linkLost),
    slip: walker.slip && {
      ...walker.slip,
      worstDegrees: walker.worstSlipDegrees,
      madeGoodSteps: walker.slipSteps,
    },
    startsInSeconds,
    // A run in the air that is over says nothing of the next one.
    air: model.air && (model.state !== 'Idle' || stoodAtTurns !== null),
    switchedOn,
    stoodAtTurns,
    cutShort,
    restsAtTurns: model.endingAtTurn ? walker.endTurns : null,
    virtual: identity.virtual,
    standWords: identity.words,
    accessories: [],
  };
}

/** A controller that came up anew in the middle of something has its own advice. */
function isSwitchedOn({ state, cause, advice }: RunModel): boolean {
  const byPower = cause === BOOT_CAUSE_WORDS.power || cause === BOOT_CAUSE_WORDS.virtual;
  return state === 'Aborted' && byPower && advice === null;
}

function nextStep(model: RunModel, walker: Walker, stoodAtTurns: number | null): string {
  const { state, cause, advice, air, linkLost } = model;
  if (advice !== null) return cause === HAND_CLOCKING ? handClockingWords(advice, !linkLost) : advice;
  if (walkedOut(state, walker)) return WALKED_OUT;
  if (state === 'Complete' && air) return NOTHING_TAKEN_OFF;
  if (state === 'Idle' && stoodAtTurns !== null && !air) return goOnWords(stoodAtTurns);
  return nextWords(state);
}

const WALKED_OUT = 'The program was walked to its end before it stopped; a start walks it anew.';

/** Stopped on its last step: there is nothing to go on with. */
function walkedOut(state: RunState, walker: Walker): boolean {
  return /^(Stopped|Idle)$/.test(state) && walker.walkedOut;
}

export function axisCounts(steps: readonly number[]): AxisCounts {
  const of = (axis: (typeof AXES)[number]): number => steps[AXES.indexOf(axis)] ?? 0;
  return { turntable: of('turntable'), stroke: of('stroke'), radial: of('radial'), lapTurn: of('lapTurn') };
}
