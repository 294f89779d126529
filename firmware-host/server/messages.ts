/**
 * What the host and the pages say to each other. Types here are all a page may import from the host; the zod schemas are the
 * door through which everything from a page comes in (./requests.ts).
 *
 * Two kinds of news: `view` is the whole picture apart from the place, sent whenever it changes and again on every connection, never
 * dropped; `tick` is the place on the path about 20 times a second, and may be dropped for a slow page, since the next one
 * replaces it.
 */
import type { GearedStint } from '../../planner/gearing/types';
import type { LearnReport } from '../../planner/learn/learn-run';
import type { Program } from '../../planner/program/types';
import type { Shelf } from '../../planner/shelf/types';
import type { Stand } from '../../planner/stand/types';
import type { AxisCounts, RunReport, RunState } from '../run/types';
import type { LiftState, LineTally } from '../stand/stand-link';
import type { WhatItDid } from '../virtual/glass/what-it-did';

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
  /** Walk it from the beginning with the lap up. */
  airRun: boolean;
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
  /** The stand is found as it came up with its power: it must be cleared, and nothing is wrong. */
  switchedOn: boolean;
  /** The index at which it will stop, if it was asked to. */
  restsAtTurns: number | null;
  /** Where a stopped run stood, if it can go on. */
  stoodAtTurns: number | null;
  /** Where a run stands that was cut short in an earlier launch, in words: a person looks at the lap first. */
  cutShort: string | null;
  /** The lap stays up all the way: nothing is taken off the glass. */
  air: boolean;
  paceTarget: number;
  /** What the run came to; null until one has been complete. */
  report: RunReport | null;
  /** What the last run did to the glass under a virtual lap, once it has come to rest; null before, and on iron. */
  virtualGlass: WhatItDid | null;
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
  /** Seconds of the stand's time to the end at the present pace target, as in `durationSeconds`; null before the first start. */
  secondsLeft: number | null;
  /** Path still queued in the controller, seconds: how long the host may be late. */
  queuedSeconds: number;
  lift: LiftState;
  /** Where the lap is and what that means for the glass, in words. */
  glass: string;
  /** Frames damaged and sent again since the run began. */
  line: LineTally;
  /** How far off the table was at the last index, degrees; positive: behind. Null before the first. */
  slip: { turn: number; degrees: number; worstDegrees: number; madeGoodSteps: number } | null;
  /** Seconds of wall time until something moves; null while nothing is about to. */
  startsInSeconds: number | null;
  /** Pump and sensors of the stand, in words. */
  accessories: readonly { name: string; words: string }[];
}

/** `words` says why not, and what to do. */
export interface Refusal {
  ok: false;
  words: string;
}

/** Answer to every command. */
export type Answer = { ok: true } | Refusal;

/** A measurement as it lies in the logbook. */
export interface KeptMeasurement {
  id: number;
  /** When it was kept, milliseconds since 1970. */
  atMs: number;
  glassId: string;
  /** The measurement's file, as it was sent. */
  text: string;
  /** Read from a virtual glass, as the file itself says. */
  virtual: boolean;
}

/** A run that has ended and can be learned from, once the glass was measured before and after it. */
export interface RunOffered {
  id: string;
  title: string;
  startedMs: number;
  endedMs: number;
  turnsWalked: number;
  plannedTurns: number;
  lapId: string;
  glassId: string;
  slurryId: string | null;
  virtual: boolean;
}

/** What measured runs taught about a lap with a slurry on a glass. */
export interface Knowledge {
  lapId: string;
  slurryId: string | null;
  glassId: string;
  /** For the next run, 1/Pa. */
  kPerPa: number;
  /** Relative standard deviation for the next run. */
  sigma: number;
  runs: number;
  virtual: boolean;
}

/** What the logbook holds for measuring, deciding and learning: the latest of each, newest first. */
export interface Workbook {
  measurements: KeptMeasurement[];
  runs: RunOffered[];
  knowledge: Knowledge[];
}

/** What requests are answered with that ask for more than yes or no. */
interface Answers {
  workbook: { ok: true } & Workbook;
  /** A file of ours, complete, that says it is virtual. It is not kept until a page asks for that. */
  readVirtualGlass: { ok: true; text: string };
  keepMeasurement: { ok: true; id: number };
  learn: { ok: true; report: LearnReport };
}

export type AnswerTo<Ask extends Request['ask']> = Refusal | (Ask extends keyof Answers ? Answers[Ask] : { ok: true });

/** What a page can ask for; most needs control, what makes the stand quieter and what only reads does not (./requests.ts). */
export type Request =
  | { ask: 'start' }
  | { ask: 'goOn' }
  | { ask: 'startAnew' }
  | { ask: 'airRun' }
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
  | { ask: 'loadProgram'; text: string }
  | { ask: 'workbook' }
  /** Reads the virtual glass under the virtual lap; not while a program walks. */
  | { ask: 'readVirtualGlass'; takes: number; diameters: 1 | 3 }
  /** A measurement as the text of its file. A table of its own beside it cannot be sent. */
  | { ask: 'keepMeasurement'; text: string }
  /** A run that was run between two kept measurements. */
  | { ask: 'learn'; runId: string; beforeId: number; afterId: number };

export interface ServerToPage {
  /** The page answers when it has taken the view; until then it gets no other, so a slow page skips to the newest. */
  view: (view: View, taken: () => void) => void;
  tick: (tick: Tick) => void;
}

export interface PageToServer {
  ask: (request: Request, answer: (answer: AnswerTo<Request['ask']>) => void) => void;
}

export const PROTOCOL_PATH = '/live';
