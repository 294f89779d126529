/**
 * What becomes of a run when somebody asks for something or the stand shows something: a pure function over the table of
 * ./transitions.ts. It returns the next model and the effects to be carried out, in order, by ./conductor.ts; when all effects of
 * an acting state are done the conductor reports `done`, and only then does the state end.
 *
 * Rules that hold throughout: nothing but start, unhold and unsuspend leads to motion; a latched stop, a restarted controller or
 * trouble of the host always ends in Aborted; what stopped it stays readable until it is reset.
 */
import type { BootCause, StopCause } from '../stand/stand-link';
import type { IndexFault } from './index-watch';
import type { Silence } from './sleep-watch';
import { nextState, type Trigger } from './transitions';
import type { RunCommand, RunState } from './types';
import {
  BOOT_CAUSE_WORDS,
  HAND_CLOCKING,
  INDEX_ADVICE,
  refusalWords,
  STOP_CAUSE_ADVICE,
  STOP_CAUSE_WORDS,
  silenceWords,
  stateWords,
} from './words';

/** Where a start begins: at the program's first index, or at the place where the run stood. */
export type StartFrom = 'beginning' | 'place';

export type RunEvent =
  | { kind: 'command'; command: Exclude<RunCommand, 'start' | 'suspend'> }
  /** `air`: anew with the lap up all the way; going on, a walk stays what it was begun as. */
  | { kind: 'command'; command: 'start'; from: StartFrom; air?: boolean }
  /** A rule or a person wants it to wait for something outside ("slurry", "the glass to cool"). */
  | { kind: 'command'; command: 'suspend'; cause: string }
  /** Every effect of the present acting state has been carried out. */
  | { kind: 'done' }
  | { kind: 'latchedStop'; cause: StopCause }
  /** A new boot id: it came up still, drives off, position lost. */
  | { kind: 'restarted'; cause: BootCause }
  /** The controller heard nothing new from the host and eased by itself. `silence`: what the host knows of it. */
  | { kind: 'hostSilent'; silence?: Silence | null }
  /** It has come to rest though it was to walk: something else on the line made it ease. */
  | { kind: 'stoodStill'; silence?: Silence | null }
  /** A row could not be written: where a run stands would be lost with this process. */
  | { kind: 'notKept'; words: string }
  /** More frames came damaged than may. */
  | { kind: 'noisyLine' }
  | { kind: 'linkLost'; silence?: Silence | null }
  | { kind: 'linkBack' }
  /** The walk stands still at a rest that the path plans. `words` say what a person does there. */
  | { kind: 'plannedRest'; reason: 'hand clocking' | 'pattern change'; words: string }
  /** The index is further from where it should be than the stand allows, or its sensor cannot be trusted. */
  | { kind: 'indexOff'; fault: IndexFault; words: string }
  /** It stands still at the index after "stop at the end of the turn". */
  | { kind: 'turnEndReached' }
  | { kind: 'endReached' }
  /** The host cannot carry out an effect. */
  | { kind: 'trouble'; words: string };

/** What the conductor carries out. Each is complete only when the stand's status shows it. */
export type Effect =
  /** Warn for the stand's seconds before anything moves. */
  | 'warn'
  | 'ease'
  | 'liftUp'
  | 'liftDown'
  | 'drivesOn'
  | 'clearLatch'
  /** Drop what is queued and note the exact place. */
  | 'flush'
  /** Find every axis's reference, if positions are lost; lap up. */
  | 'reference'
  /** Bring the axes to where the walk begins; lap up. */
  | 'park'
  /** See to it that the walk is queued; from where it stands if the queue was dropped. */
  | 'feed'
  /** Walk at the wanted pace. */
  | 'go'
  | 'restAtTurnEnd';

export interface RunModel {
  state: RunState;
  /** Completes "Waiting for ..." and "Stopped by ..."; null when nothing needs saying. */
  cause: string | null;
  /** What a person does about it; null where the cause says enough. */
  advice: string | null;
  /** Stop at the end of the turn was asked for and is still ahead. */
  endingAtTurn: boolean;
  /** A wait that came up while it could not be entered; it begins before anything moves again. */
  waitAhead: { cause: string; advice: string } | null;
  startFrom: StartFrom;
  /** The lap stays up all the way: nothing is taken off the glass. */
  air: boolean;
  linkLost: boolean;
}

export interface Reduced {
  model: RunModel;
  effects: readonly Effect[];
  /** Why a command did nothing; null if it was taken. */
  refused: string | null;
}

/** A run as it is found: a stand that has lost its position or stands latched comes up stopped and must be cleared. */
export function initialModel(found: { latchedStop: StopCause | null; restarted: BootCause | null }): RunModel {
  const model: RunModel = {
    state: 'Stopped',
    cause: null,
    advice: null,
    endingAtTurn: false,
    waitAhead: null,
    startFrom: 'beginning',
    air: false,
    linkLost: false,
  };
  if (found.latchedStop !== null) return { ...model, state: 'Aborted', ...stopCause(found.latchedStop) };
  if (found.restarted !== null) return { ...model, state: 'Aborted', cause: BOOT_CAUSE_WORDS[found.restarted] };
  return model;
}

/** What each acting state does on entry. States missing here do nothing. */
export function entryEffects(model: RunModel): readonly Effect[] {
  switch (model.state) {
    case 'Clearing':
      return ['clearLatch', 'flush'];
    case 'Starting':
      return model.waitAhead === null
        ? ['warn', 'drivesOn', 'reference', 'park', lapEffect(model), 'feed', 'go']
        : ['warn', 'drivesOn', 'reference', 'park'];
    case 'Stopping':
      return ['ease', 'liftUp', 'flush'];
    case 'Aborting':
      return ['ease', 'liftUp'];
    case 'Holding':
    case 'Suspending':
      return ['ease', 'liftUp'];
    case 'Unholding':
    case 'Unsuspending':
      return model.waitAhead === null ? ['warn', lapEffect(model), 'feed', 'go'] : [];
    case 'Completing':
      return ['ease', 'liftUp', 'flush'];
    default:
      return [];
  }
}

/** Where the lap is while it walks. */
function lapEffect({ air }: RunModel): Effect {
  return air ? 'liftUp' : 'liftDown';
}

function stopCause(cause: StopCause): { cause: string; advice: string } {
  return { cause: STOP_CAUSE_WORDS[cause], advice: STOP_CAUSE_ADVICE[cause] };
}

function unchanged(model: RunModel): Reduced {
  return { model, effects: [], refused: null };
}

/** Takes the trigger if the table has it, else leaves everything as it is. */
function enter(model: RunModel, trigger: Trigger, changes: Partial<RunModel> = {}): Reduced {
  const state = nextState(model.state, trigger);
  if (state === null) return unchanged(model);
  const next = { ...model, ...changes, state };
  if (state === 'Execute' && next.waitAhead !== null)
    return enter(next, 'suspend', { ...next.waitAhead, waitAhead: null });
  return { model: next, effects: entryEffects(next), refused: null };
}

/** Waits now, or before anything moves again. */
function waitFor(model: RunModel, wait: { cause: string; advice: string }): Reduced {
  return model.state === 'Execute' ? enter(model, 'suspend', wait) : unchanged({ ...model, waitAhead: wait });
}

/** What is told while it waits for the index already is the better knowledge of the same thing, not another wait. */
function indexOff(model: RunModel, wait: { cause: string; advice: string }): Reduced {
  const waits = /^Suspend/.test(model.state) && model.advice === INDEX_ADVICE.missing;
  return waits ? unchanged({ ...model, ...wait }) : waitFor(model, wait);
}

/**
 * Nothing is walked that the logbook does not know of: a host that comes after this one would take the place for the one before it.
 * What stands still moves nothing; it is told again with the first row that fails when it goes on.
 */
function notKept(model: RunModel, wait: { cause: string; advice: string }): Reduced {
  if (model.state === 'Starting') return enter(model, 'abort', { ...NOTHING_LEFT, ...wait });
  return /^(Execute|Unholding|Unsuspending)$/.test(model.state) ? waitFor(model, wait) : unchanged(model);
}

/** Stops for a cause that the controller tells. Where so far only the line was known to be gone, that is why, and it is said. */
function stop(model: RunModel, why: { cause: string; advice: string }): Reduced {
  if (/^Abort/.test(model.state) && model.cause === LINE_GONE.cause) return unchanged({ ...model, ...why });
  return enter(model, 'abort', { ...NOTHING_LEFT, ...why });
}

const NOTHING_LEFT = { cause: null, advice: null, endingAtTurn: false, waitAhead: null } as const;
const LINE_GONE = {
  cause: 'the line to the stand',
  advice:
    'Check its cable and power. Once it hears nothing more the stand eases to a standstill and lifts the lap by itself.',
} as const;
const EASED_ALONE =
  'The stand eased and lifted the lap by itself when it heard nothing more. Going on starts at the same place.';
const MOVING_ON: ReadonlySet<RunState> = new Set<RunState>(['Starting', 'Unholding', 'Unsuspending', 'Completing']);
const NEEDS_LINK: ReadonlySet<RunCommand> = new Set<RunCommand>(['reset', 'start', 'unhold', 'unsuspend', 'clear']);

function command(model: RunModel, event: RunEvent & { kind: 'command' }): Reduced {
  const refuse = (words: string): Reduced => ({ model, effects: [], refused: words });
  if (model.linkLost && NEEDS_LINK.has(event.command))
    return refuse('The stand does not answer. Check its cable and power; nothing was sent.');
  if (event.command === 'stopAtTurnEnd') {
    if (model.state !== 'Execute') return refuse(refusalWords(event.command, model.state, model.cause));
    if (model.endingAtTurn) return unchanged(model);
    return { model: { ...model, endingAtTurn: true }, effects: ['restAtTurnEnd'], refused: null };
  }
  if (nextState(model.state, event.command) === null)
    return refuse(refusalWords(event.command, model.state, model.cause));
  switch (event.command) {
    case 'start':
      // A clocking that is due where the walk goes on stays due.
      return enter(model, 'start', {
        ...NOTHING_LEFT,
        waitAhead: model.waitAhead,
        startFrom: event.from,
        air: event.from === 'place' ? model.air : event.air === true,
      });
    case 'suspend':
      return enter(model, 'suspend', { cause: event.cause, advice: null });
    case 'reset':
      return enter(model, 'reset', NOTHING_LEFT);
    case 'abort':
      return enter(model, 'abort', { ...NOTHING_LEFT, cause: 'a person' });
    case 'stop':
      // Nobody sees whether it stands: that is no orderly stop.
      return model.linkLost
        ? enter(model, 'abort', { ...NOTHING_LEFT, ...LINE_GONE })
        : enter(model, 'stop', NOTHING_LEFT);
    case 'unhold':
    case 'unsuspend':
      return enter(model, event.command, { cause: null, advice: null });
    default:
      return enter(model, event.command);
  }
}

export function reduce(model: RunModel, event: RunEvent): Reduced {
  switch (event.kind) {
    case 'command':
      return command(model, event);
    case 'done':
      // The path, not a list of effects, ends Execute.
      return model.state === 'Execute' ? unchanged(model) : enter(model, 'stateComplete');
    case 'latchedStop':
      return stop(model, stopCause(event.cause));
    case 'restarted':
      return stop(model, {
        cause: BOOT_CAUSE_WORDS[event.cause],
        advice: 'The controller no longer knows where the axes are; they are found again at the start.',
      });
    case 'trouble':
      return enter(model, 'abort', { ...NOTHING_LEFT, cause: event.words });
    case 'noisyLine':
      return stop(model, stopCause('link errors'));
    case 'hostSilent':
      if (MOVING_ON.has(model.state)) return enter(model, 'abort', { ...NOTHING_LEFT, cause: 'a silent host' });
      return enter(model, 'suspend', { cause: silenceWords(event.silence), advice: EASED_ALONE });
    case 'stoodStill':
      if (event.silence) return waitFor(model, { cause: silenceWords(event.silence), advice: EASED_ALONE });
      return waitFor(model, {
        cause: 'a person: the stand came to rest without being asked',
        advice: 'Look which other program uses the line to the controller. Going on starts at the same place.',
      });
    case 'notKept':
      return notKept(model, {
        cause: `the logbook, which cannot be written (${event.words})`,
        advice:
          'Make room on the disc. Without the logbook a crash would lose the place; rows so far are kept in memory.',
      });
    case 'linkLost': {
      const lost = { ...model, linkLost: true };
      if (model.state === 'Execute')
        return enter(
          lost,
          'suspend',
          event.silence?.slept ? { cause: silenceWords(event.silence), advice: EASED_ALONE } : LINE_GONE,
        );
      const canWait = nextState(model.state, 'stateComplete') === null || /^(Holding|Suspending)$/.test(model.state);
      return canWait ? unchanged(lost) : enter(lost, 'abort', { ...NOTHING_LEFT, ...LINE_GONE });
    }
    case 'linkBack':
      return unchanged({ ...model, linkLost: false });
    case 'plannedRest':
      if (event.reason === 'pattern change')
        return model.state === 'Execute' ? { model, effects: ['go'], refused: null } : unchanged(model);
      return waitFor(model, { cause: HAND_CLOCKING, advice: event.words });
    case 'indexOff':
      return indexOff(model, { cause: `a person: ${event.words}`, advice: INDEX_ADVICE[event.fault] });
    case 'turnEndReached':
      return model.endingAtTurn ? enter(model, 'stop', { endingAtTurn: false }) : unchanged(model);
    case 'endReached':
      return model.state === 'Execute' ? enter(model, 'stateComplete', { endingAtTurn: false }) : unchanged(model);
  }
}

const SAYS_AIR: ReadonlySet<RunState> = new Set<RunState>([...MOVING_ON, 'Execute', 'Holding', 'Held', 'Complete']);

/** The model in plain words. */
export function modelWords(model: RunModel): string {
  const words = stateWords(model.state, model.cause, model.endingAtTurn);
  return model.air && SAYS_AIR.has(model.state) ? `${words} (air run, the lap stays up)` : words;
}
