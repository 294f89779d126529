/**
 * Run control by itself, away from whoever serves people: the line to the stand, the feeder and the conductor together, and nothing
 * else. It opens no file and serves no page, so nothing keeps it from feeding; an order reaches the conductor as soon as it is told.
 */
import { randomInt } from 'node:crypto';
import { RemovalRefused } from '../../planner/removal/refusal';
import type { Attendant } from '../accessories/attendant';
import { ModelKit } from '../accessories/model-kit';
import { runIdAt } from '../logbook/recorder';
import { RealClock } from '../stand/clock';
import type { VirtualGlassData } from '../virtual/glass/glasses';
import { VirtualGlass } from '../virtual/glass/virtual-glass';
import { RunsOnGlass } from '../virtual/glass/what-it-did';
import { runInRealTime } from '../virtual/real-time';
import { attendIron, attendVirtual } from './attended';
import type { Conductor } from './conductor';
import { planRun } from './plan';
import type { RunRecorder } from './recorder';
import { connectSerial } from './serial-run';
import type { RunSnapshot } from './snapshot';
import type { FromRunThread, RunData, ToRunThread } from './thread-messages';
import { VirtualRun } from './virtual-run';

const SNAPSHOT_SECONDS = 0.05;

/** The way to those who asked for it. */
export interface People {
  tell(message: FromRunThread): void;
  /** One listener. */
  onMessage(listener: (message: ToRunThread) => void): void;
  /** Called once, after the last message. */
  end(): void;
}

interface Conducted {
  conductor: Conductor;
  attendant: Attendant | null;
  stopTime(): void;
}

/** Finds the stand and conducts until it is told to close, or says why it cannot. `kept` is where everything is recorded. */
export async function conductAside(data: RunData, kept: RunRecorder, people: People): Promise<void> {
  const clock = new RealClock();
  try {
    serve(await begin(data, telling(kept, people), clock, people), clock, people);
  } catch (error) {
    people.tell({ kind: 'failed', words: (error as Error).message });
    people.end();
  }
}

/** What is written into the logbook is also told to the people. */
function telling(kept: RunRecorder, people: People): RunRecorder {
  return {
    ...kept,
    event(runId, event, turnsWalked, words) {
      kept.event(runId, event, turnsWalked, words);
      people.tell({ kind: 'event', event, turnsWalked, words });
    },
  };
}

async function begin(data: RunData, recorder: RunRecorder, clock: RealClock, people: People): Promise<Conducted> {
  const { program, stand, choice, interrupted } = data;
  const plan = planRun(program, stand, data.kPerPa);
  if (Array.isArray(plan)) throw new Error(plan.map(({ message }) => message).join(' '));
  const newRunId = (): string => runIdAt(Date.now(), randomInt(0x10000));
  const options = { plan, recorder, newRunId, linkId: choice.linkId, interrupted };
  if (choice.kind === 'serial') {
    const run = await connectSerial({ ...options, clock, wallMs: Date.now, path: choice.path });
    try {
      return { ...run, attendant: await attendIron(plan, run, clock), stopTime: () => {} };
    } catch (error) {
      await run.conductor.close();
      throw error;
    }
  }
  const run = await VirtualRun.begin({ ...options, bootId: choice.bootId });
  if (choice.glass) layGlass(run, choice.glass, people);
  const stopTime = runInRealTime(run.simulation, choice.speedFactor, clock);
  return { conductor: run.conductor, attendant: attendVirtual(plan, run, new ModelKit()), stopTime };
}

/** The lap is up and nothing moves on the glass. */
const AT_REST = /^(Stopped|Aborted|Held|Suspended|Complete)$/;

/** Lays the glass under the lap, and tells what a run did to it when that has come to rest. */
function layGlass(run: VirtualRun, { glass, truth, state }: VirtualGlassData, people: People): void {
  const { conductor } = run;
  const laid = new VirtualGlass(glass, truth, state);
  try {
    run.lay(laid);
  } catch (error) {
    if (!(error instanceof RemovalRefused)) throw error;
    const why = error.reasons.map(({ message }) => message).join(' ');
    people.tell({ kind: 'event', event: 'notice', turnsWalked: null, words: `The virtual glass is not worn: ${why}` });
    return;
  }
  const runs = new RunsOnGlass(laid);
  conductor.onChange(({ state: now, runId }) => {
    const worn = runs.at(runId);
    if (AT_REST.test(now)) people.tell({ kind: 'worn', glass: worn });
  });
}

function serve({ conductor, attendant, stopTime }: Conducted, clock: RealClock, people: People): void {
  let cancelBeat = (): void => {};
  const snapshot = (): RunSnapshot => ({ ...conductor.snapshot(), accessories: attendant?.shown() ?? [] });
  const show = (changed: boolean): void =>
    people.tell({ kind: 'snapshot', snapshot: snapshot(), result: conductor.result(), changed });
  const beat = (): void => {
    cancelBeat = clock.after(SNAPSHOT_SECONDS, beat);
    show(false);
  };
  conductor.onChange(() => show(true));
  people.onMessage(async (message) => {
    if (message.kind === 'notKept') return conductor.notKept(message.words);
    const { id } = message;
    if (message.kind === 'order') people.tell({ kind: 'answer', id, answer: conductor.order(message.order) });
    else if (message.kind === 'pace') people.tell({ kind: 'answer', id, answer: conductor.setPace(message.pace) });
    else {
      cancelBeat();
      stopTime();
      attendant?.close();
      await conductor.close();
      people.tell({ kind: 'answer', id, answer: { ok: true } });
      people.end();
    }
  });
  people.tell({ kind: 'ready', snapshot: snapshot() });
  show(true);
  beat();
}
