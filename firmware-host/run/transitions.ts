/**
 * The state model of ISA-TR88.00.02 as a table: which trigger leads from which state to which. Whatever is not in the table
 * does not happen. Nothing here knows of stands, laps or glass; ./reducer.ts gives the table its meaning.
 */
import type { RunState } from './types';

export const TRIGGERS = [
  'reset',
  'start',
  'stop',
  'hold',
  'unhold',
  'suspend',
  'unsuspend',
  'abort',
  'clear',
  'stateComplete',
] as const;
export type Trigger = (typeof TRIGGERS)[number];

type Row = Partial<Record<Trigger, RunState>>;

/** What every state of the walking part has in common. */
const STOPPABLE: Row = { stop: 'Stopping', abort: 'Aborting' };

export const TRANSITIONS: Record<RunState, Row> = {
  Aborting: { stateComplete: 'Aborted' },
  Aborted: { clear: 'Clearing' },
  Clearing: { abort: 'Aborting', stateComplete: 'Stopped' },
  Stopping: { abort: 'Aborting', stateComplete: 'Stopped' },
  Stopped: { abort: 'Aborting', reset: 'Resetting' },
  Resetting: { ...STOPPABLE, stateComplete: 'Idle' },
  Idle: { ...STOPPABLE, start: 'Starting' },
  Starting: { ...STOPPABLE, stateComplete: 'Execute' },
  Execute: { ...STOPPABLE, hold: 'Holding', suspend: 'Suspending', stateComplete: 'Completing' },
  Holding: { ...STOPPABLE, stateComplete: 'Held' },
  Held: { ...STOPPABLE, unhold: 'Unholding' },
  Unholding: { ...STOPPABLE, stateComplete: 'Execute' },
  Suspending: { ...STOPPABLE, stateComplete: 'Suspended' },
  Suspended: { ...STOPPABLE, unsuspend: 'Unsuspending' },
  Unsuspending: { ...STOPPABLE, stateComplete: 'Execute' },
  Completing: { ...STOPPABLE, stateComplete: 'Complete' },
  Complete: { ...STOPPABLE, reset: 'Resetting' },
};

export function nextState(state: RunState, trigger: Trigger): RunState | null {
  return TRANSITIONS[state][trigger] ?? null;
}

/** States that end by themselves once what they do is done. Execute ends when the path does. */
export const ACTING: ReadonlySet<RunState> = new Set<RunState>([
  'Clearing',
  'Starting',
  'Execute',
  'Stopping',
  'Aborting',
  'Holding',
  'Unholding',
  'Suspending',
  'Unsuspending',
  'Resetting',
  'Completing',
]);
