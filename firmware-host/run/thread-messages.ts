/** What passes between run control, in its own thread or process, and the thread that serves people. Plain data: it is copied on the way. */
import type { MessagePort } from 'node:worker_threads';
import type { Program } from '../../planner/program/types';
import type { Stand } from '../../planner/stand/types';
import type { Interrupted } from '../logbook/left-open';
import type { EventKind } from '../logbook/logbook';
import type { RecorderCall } from '../logbook/port-recorder';
import type { VirtualGlassData } from '../virtual/glass/glasses';
import type { WornGlass } from '../virtual/glass/what-it-did';
import type { Order, OrderAnswer } from './conductor';
import type { RunSnapshot } from './snapshot';
import type { RunReport } from './types';

/** Which stand: the virtual one, at so many times real time and with a glass under its lap or none, or one of iron on a serial port. */
export type StandChoice =
  | { kind: 'virtual'; speedFactor: number; bootId: number; linkId: number; glass: VirtualGlassData | null }
  | { kind: 'serial'; path: string; linkId: number };

export interface RunData {
  program: Program;
  stand: Stand;
  choice: StandChoice;
  interrupted: Interrupted | null;
  /** Removal coefficient for forecasts, 1/Pa. */
  kPerPa: number;
}

export interface RunThreadData extends RunData {
  /** Where rows for the logbook go, past everybody else. */
  recorder: MessagePort;
}

export type ToRunThread =
  | { kind: 'order'; id: number; order: Order }
  | { kind: 'pace'; id: number; pace: number }
  /** A row could not be kept; see Conductor.notKept. */
  | { kind: 'notKept'; words: string }
  | { kind: 'close'; id: number };

export type FromRunThread =
  | { kind: 'ready'; snapshot: RunSnapshot }
  | { kind: 'failed'; words: string }
  /** `changed`: more than the place is new. */
  | { kind: 'snapshot'; snapshot: RunSnapshot; result: RunReport; changed: boolean }
  | { kind: 'event'; event: EventKind; turnsWalked: number | null; words: string }
  /** Told when a run on a virtual stand has come to rest. */
  | { kind: 'worn'; glass: WornGlass }
  | { kind: 'answer'; id: number; answer: OrderAnswer }
  /** For the logbook, where it does not get it by a port of its own. */
  | { kind: 'record'; call: RecorderCall };

/** A thread is started from TypeScript as the program itself is. */
export const THREAD_ARGUMENTS = ['-r', require.resolve('ts-node/register/transpile-only')];
