/**
 * What the host and the pages say to each other. Types here are all a page may import from the host; the zod schemas are the
 * door through which everything from a page comes in (./requests.ts).
 *
 * Two kinds of news: `view` is the whole picture apart from the place, sent whenever it changes and again on every connection, never
 * dropped; `tick` is the place on the path about 20 times a second, and may be dropped for a slow page, since the next one
 * replaces it.
 */
import type { GearedStint } from '../../planner/gearing/types';
import type { Program } from '../../planner/program/types';
import type { Shelf } from '../../planner/shelf/types';
import type { Stand } from '../../planner/stand/types';
import type { AxisCounts, RunReport, RunState } from '../run/types';
import type { LiftState, LinkCounters } from '../stand/stand-link';

/** Which actions make sense now; the page shows these and no others. */
export interface Offered {
  start: boolean;
  pause: boolean;
  resume: boolean;
  stop: boolean;
  stopAtTurnEnd: boolean;
  clear: boolean;
  reset: boolean;
  /** After a stop: start again at the place where it stood. */
  goOn: boolean;
  startAnew: boolean;
  /** A person has done what the walk waits for (turned the lap by hand, re-charged). */
  done: boolean;
}

/** One line of "what happened", in words. */
export interface Happening {
  /** Counts up; a page that reconnects asks for nothing, it gets the last ones again and knows them by this. */
  id: number;
  /** Milliseconds since 1970, of the host. */
  atMs: number;
  turnsWalked: number | null;
  words: string;
  kind: 'plain' | 'notice' | 'stop';
}

/** The program as the page needs it to build the same path the host walks (planner/path is pure). */
export interface LoadedProgram {
  program: Program;
  geared: GearedStint[];
  stand: Stand;
  /** What lies on the shelf that the program was read with: a program planned on a page calls these by name. */
  shelf: Shelf;
  durationSeconds: number;
  /** What the whole program comes to, to compare with what was done. */
  planned: { strokes: number; nudges: number; clockings: number; endSteps: AxisCounts; leastEvenness: number };
  warnings: string[];
}

export interface View {
  /** Same launch, same number; a page that sees another one knows that the host was started anew. */
  launch: string;
  standWords: string;
  virtual: boolean;
  /** How much faster than real time a virtual stand walks; 1 for real iron. */
  speedFactor: number;
  state: RunState;
  /** "Running", "Paused", "Waiting for ...", "Stopped by ..., must be cleared". */
  words: string;
  /** What to do next, in words. */
  next: string;
  offered: Offered;
  loaded: LoadedProgram | null;
  runId: string | null;
  /** Where a stopped run stood, if it can go on. */
  stoodAtTurns: number | null;
  paceTarget: number;
  /** What the run came to; null until one has been complete. */
  report: RunReport | null;
  happened: Happening[];
  control: { holder: string | null; watching: number };
  cautionsAcknowledged: string[];
}

/** The place, about 20 times a second. */
export interface Tick {
  /** Host's wall clock when the message left, milliseconds since 1970: a page on the same machine can tell its age. */
  sentAtMs: number;
  /** Counts up by one; a page sees how many were dropped for it. */
  number: number;
  turnsWalked: number;
  /** Turns walked per second of wall time now, for drawing between two ticks. */
  turnsPerSecond: number;
  pace: number;
  /** Seconds of wall time to the end at the present pace target; null when nothing runs. */
  secondsLeft: number | null;
  /** Path still queued in the controller, seconds: how long the host may be late. */
  queuedSeconds: number;
  lift: LiftState;
  counters: LinkCounters;
  /** Pump and sensors of the stand, in words. */
  accessories: readonly { name: string; words: string }[];
}

/** Answer to every command. `words` says why not, and what to do. */
export type Answer = { ok: true } | { ok: false; words: string };

/** What a page can ask for; `start`, `goOn` and the rest need control, `stop`, `pause` and `stopAtTurnEnd` do not. */
export type Request =
  | { ask: 'start' }
  | { ask: 'goOn' }
  | { ask: 'startAnew' }
  | { ask: 'pause' }
  | { ask: 'resume' }
  | { ask: 'stop' }
  | { ask: 'stopAtTurnEnd' }
  | { ask: 'clear' }
  | { ask: 'reset' }
  | { ask: 'done' }
  | { ask: 'pace'; target: number }
  | { ask: 'takeControl'; name: string }
  | { ask: 'leaveControl' }
  | { ask: 'acknowledgeCautions'; name: string }
  | { ask: 'load'; example: string }
  /** A program planned on a page, as the text of its file. */
  | { ask: 'loadProgram'; text: string };

export interface ServerToPage {
  /** The page answers when it has taken the view; until then it gets no other, so a slow page skips to the newest. */
  view: (view: View, taken: () => void) => void;
  tick: (tick: Tick) => void;
}

export interface PageToServer {
  ask: (request: Request, answer: (answer: Answer) => void) => void;
}

export const PROTOCOL_PATH = '/live';
