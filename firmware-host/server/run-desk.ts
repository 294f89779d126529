/**
 * The desk over run control: keeps one program loaded on one stand, says what can be asked for now, and turns what a page asks into
 * orders for the conductor.
 */
import type { Shelf } from '../../planner/shelf/types';
import type { ProgramSummary } from '../../planner/steps/summary';
import type { EventKind } from '../logbook/logbook';
import { notKeptWords } from '../logbook/writer';
import type { Order, OrderAnswer } from '../run/conductor';
import type { RunPlan } from '../run/plan';
import type { RunSnapshot } from '../run/snapshot';
import type { RunReport } from '../run/types';
import type { VirtualGlassData } from '../virtual/glass/glasses';
import { type WhatItDid, type WornGlass, whatItDid } from '../virtual/glass/what-it-did';
import type { RunDesk, RunRequest, RunTick, RunView } from './desk';
import type { Answer, Happening, LoadedProgram, Offered, Refusal } from './messages';
import type { WorkbookThread } from './workbook-host';

/** Run control as the desk needs it, whichever thread it lives in. */
export interface RunHost {
  snapshot(): RunSnapshot;
  onChange(listener: () => void): () => void;
  order(order: Order): Promise<OrderAnswer>;
  setPace(pace: number): Promise<OrderAnswer>;
  /** What it came to so far; null before the first start. */
  result(): RunReport | null;
  /** What the run did to the virtual glass; null on iron, and before it first came to rest. */
  wornGlass(): WornGlass | null;
  /** The logbook could not keep a row; what walks waits for a person. */
  notKept(words: string): void;
  close(): Promise<void>;
}

/** What happened, as run control tells it; the desk adds a number and the time. */
export type Tell = (kind: EventKind, turnsWalked: number | null, words: string) => void;

/** A program that can be walked, and how to get run control for it. */
export interface Walkable {
  plan: RunPlan;
  /** The shelf it was read with. */
  shelf: Shelf;
  summary: ProgramSummary;
  begin(tell: Tell): Promise<RunHost>;
}

export interface RunDeskOptions {
  first: Walkable;
  /** The program of that name, or words that say why not. */
  find(example: string): Walkable | string;
  /** A program from the text of its file, on the shelf and stand of another; or every complaint in words. */
  read(text: string, like: Walkable): Walkable | string;
  speedFactor: number;
  nowMs(): number;
  workbook: Pick<WorkbookThread, 'ask' | 'close'>;
  /** What lies under the lap of a virtual stand; null on a stand of iron. */
  glassUnder(plan: RunPlan): VirtualGlassData | null;
  cautions: { names(): string[]; acknowledge(name: string): void };
}

const KEEP_HAPPENINGS = 60;
/** A program can be changed only where nothing of the old one is under way. */
const MAY_LOAD = /^(Stopped|Idle|Complete|Aborted)$/;

const ORDERS: Partial<Record<RunRequest['ask'], Order>> = {
  start: { kind: 'command', command: 'start', from: 'beginning' },
  startAnew: { kind: 'command', command: 'start', from: 'beginning' },
  airRun: { kind: 'command', command: 'start', from: 'beginning', air: true },
  goOn: { kind: 'command', command: 'start', from: 'place' },
  pause: { kind: 'command', command: 'hold' },
  resume: { kind: 'command', command: 'unhold' },
  stop: { kind: 'command', command: 'stop' },
  stopAtTurnEnd: { kind: 'command', command: 'stopAtTurnEnd' },
  clear: { kind: 'command', command: 'clear' },
  reset: { kind: 'command', command: 'reset' },
  done: { kind: 'command', command: 'unsuspend' },
};

export async function openRunDesk(options: RunDeskOptions): Promise<RunDesk> {
  const happened: Happening[] = [];
  const listeners = new Set<() => void>();
  const changed = (): void => {
    for (const listener of listeners) listener();
  };
  let nextId = 1;
  const tell: Tell = (kind, turnsWalked, words) => {
    happened.push({ id: nextId++, atMs: options.nowMs(), turnsWalked, words, kind });
    if (happened.length > KEEP_HAPPENINGS) happened.shift();
    changed();
  };

  let walkable = options.first;
  let loaded = loadedOf(walkable);
  let host = await walkable.begin(tell);
  let stopListening = host.onChange(changed);

  async function begin(wanted: Walkable): Promise<Answer> {
    try {
      host = await wanted.begin(tell);
      return { ok: true };
    } catch (error) {
      return { ok: false, words: `"${wanted.plan.program.title}" cannot be begun: ${(error as Error).message}` };
    }
  }

  async function load(find: () => Walkable | string): Promise<Answer> {
    if (!MAY_LOAD.test(host.snapshot().state))
      return {
        ok: false,
        words:
          'Another program can be loaded when this run has ended. Stop it first, at the end of the turn if you can.',
      };
    const found = find();
    if (typeof found === 'string') return { ok: false, words: found };
    stopListening();
    await host.close();
    const took = await begin(found);
    // One stand, one run control: the one before is closed first, and begun anew where the new one cannot be.
    if (!took.ok) await begin(walkable);
    else {
      walkable = found;
      loaded = loadedOf(found);
    }
    stopListening = host.onChange(changed);
    if (!took.ok) return took;
    tell('plain', null, `Loaded "${found.plan.program.title}".`);
    return { ok: true };
  }

  async function readGlass(request: Extract<RunRequest, { ask: 'readVirtualGlass' }>) {
    const data = options.glassUnder(walkable.plan);
    if (data === null)
      return refusal('This is a stand of iron: its glass is read at your own tester. Write its readings down here.');
    if (!MAY_LOAD.test(host.snapshot().state))
      return refusal('The lap is at work on the virtual glass. It can be read when this run has ended.');
    return options.workbook.ask({ ...request, data });
  }

  return {
    view: () => viewOf(host, loaded, options.speedFactor, [...happened]),
    tick: () => tickOf(host.snapshot(), options.speedFactor),
    note: (words) => tell('notice', null, words),
    notKept(words) {
      tell('notice', null, notKeptWords(words));
      host.notKept(words);
    },
    onChange(listener) {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    cautionsAcknowledged: options.cautions.names,
    acknowledgeCautions: options.cautions.acknowledge,
    async ask(request) {
      if (request.ask === 'load') return load(() => options.find(request.example));
      if (request.ask === 'loadProgram') return load(() => options.read(request.text, walkable));
      if (request.ask === 'pace') return host.setPace(request.target);
      if (request.ask === 'workbook') return options.workbook.ask(request);
      if (request.ask === 'readVirtualGlass') return readGlass(request);
      if (request.ask === 'keepMeasurement' || request.ask === 'learn')
        return options.workbook.ask({ ...request, atHand: { shelf: walkable.shelf, stand: walkable.plan.stand } });
      return host.order(ORDERS[request.ask]!);
    },
    async close() {
      stopListening();
      await host.close();
      await options.workbook.close();
    },
  };
}

function refusal(words: string): Refusal {
  return { ok: false, words };
}

function loadedOf({ plan, shelf, summary }: Walkable): LoadedProgram {
  const { program, geared, stand } = plan;
  const { stints, strokes, endSteps, durationSeconds } = summary;
  const sum = (of: 'nudges' | 'clockings'): number => stints.reduce((total, stint) => total + stint[of], 0);
  return {
    program,
    geared,
    stand,
    shelf,
    durationSeconds,
    planned: {
      strokes,
      nudges: sum('nudges'),
      clockings: sum('clockings'),
      endSteps,
      leastEvenness: Math.min(...stints.map((stint) => stint.evenness)),
    },
    warnings: stints.flatMap((stint) => stint.warnings),
  };
}

/** What makes sense now. Stop is always there: a stop too many harms nobody. */
export function offeredIn(snapshot: RunSnapshot): Offered {
  const { state, stoodAtTurns, restsAtTurns } = snapshot;
  return {
    start: state === 'Idle' && stoodAtTurns === null,
    goOn: state === 'Idle' && stoodAtTurns !== null,
    startAnew: state === 'Idle' && stoodAtTurns !== null,
    airRun: state === 'Idle' && stoodAtTurns === null,
    pause: state === 'Execute',
    resume: state === 'Held',
    done: state === 'Suspended',
    stop: true,
    stopAtTurnEnd: state === 'Execute' && restsAtTurns === null,
    clear: state === 'Aborted',
    reset: state === 'Stopped' || state === 'Complete',
  };
}

function viewOf(host: RunHost, loaded: LoadedProgram, speedFactor: number, happened: Happening[]): RunView {
  const snapshot = host.snapshot();
  return {
    standWords: snapshot.standWords,
    virtual: snapshot.virtual,
    speedFactor: snapshot.virtual ? speedFactor : 1,
    state: snapshot.state,
    words: snapshot.words,
    next: snapshot.next,
    offered: offeredIn(snapshot),
    loaded,
    runId: snapshot.runId,
    switchedOn: snapshot.switchedOn,
    restsAtTurns: snapshot.restsAtTurns,
    stoodAtTurns: snapshot.stoodAtTurns,
    cutShort: snapshot.cutShort,
    air: snapshot.air,
    paceTarget: snapshot.paceTarget,
    virtualGlass: virtualGlassOf(host, loaded),
    report: snapshot.state === 'Complete' ? host.result() : null,
    happened,
  };
}

const AT_REST = /^(Stopped|Resetting|Idle|Aborted|Complete)$/;

function virtualGlassOf(host: RunHost, { program }: LoadedProgram): WhatItDid | null {
  const worn = AT_REST.test(host.snapshot().state) ? host.wornGlass() : null;
  return worn && whatItDid(program.glass, worn);
}

/** Work is counted in the stand's own time; what a page draws and counts down goes by the clock on the wall. */
function tickOf(snapshot: RunSnapshot, speedFactor: number): RunTick {
  const faster = snapshot.virtual ? speedFactor : 1;
  return {
    turnsWalked: snapshot.turnsWalked,
    turnsPerSecond: snapshot.turnsPerSecond * faster,
    pace: snapshot.pace,
    secondsLeft: snapshot.runId === null ? null : snapshot.secondsLeft,
    queuedSeconds: snapshot.queuedSeconds,
    lift: snapshot.lift,
    glass: snapshot.glass,
    line: snapshot.line,
    slip: snapshot.slip,
    startsInSeconds: snapshot.startsInSeconds === null ? null : snapshot.startsInSeconds / faster,
    accessories: snapshot.accessories,
  };
}
