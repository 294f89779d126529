/**
 * Entry of the thread that walks: the line to the stand, the feeder and the conductor together, and nothing else. It opens no file and
 * serves no page, so nothing keeps it from feeding; an order reaches the conductor as soon as it is posted.
 */
import { randomInt } from 'node:crypto';
import { parentPort, workerData } from 'node:worker_threads';
import { portRecorder } from '../logbook/port-recorder';
import { runIdAt } from '../logbook/recorder';
import { RealClock } from '../stand/clock';
import { runInRealTime } from '../virtual/real-time';
import type { Conductor } from './conductor';
import { planRun } from './plan';
import type { RunRecorder } from './recorder';
import { connectSerial } from './serial-run';
import type { FromRunThread, RunThreadData, ToRunThread } from './thread-messages';
import { VirtualRun } from './virtual-run';

const SNAPSHOT_SECONDS = 0.05;
const people = parentPort!;
const data = workerData as RunThreadData;
const tell = (message: FromRunThread): void => people.postMessage(message);

/** To the logbook's thread, and words also to the people. */
function recorder(): RunRecorder {
  const kept = portRecorder(data.recorder);
  return {
    ...kept,
    event(runId, event, turnsWalked, words) {
      kept.event(runId, event, turnsWalked, words);
      tell({ kind: 'event', event, turnsWalked, words });
    },
  };
}

async function begin(): Promise<void> {
  const { program, stand, choice, interrupted } = data;
  const plan = planRun(program, stand);
  if (Array.isArray(plan)) throw new Error(plan.map(({ message }) => message).join(' '));
  const clock = new RealClock();
  const newRunId = (): string => runIdAt(Date.now(), randomInt(0x10000));
  const { linkId } = choice;
  const options = { plan, recorder: recorder(), newRunId, linkId, interrupted };
  if (choice.kind === 'serial') {
    serve(await connectSerial({ ...options, clock, path: choice.path }), clock, () => {});
    return;
  }
  const run = await VirtualRun.begin({ ...options, bootId: choice.bootId });
  serve(run.conductor, clock, runInRealTime(run.simulation, choice.speedFactor, clock));
}

function serve(conductor: Conductor, clock: RealClock, stopTime: () => void): void {
  let cancelBeat = (): void => {};
  const show = (changed: boolean): void =>
    tell({ kind: 'snapshot', snapshot: conductor.snapshot(), result: conductor.result(), changed });
  const beat = (): void => {
    cancelBeat = clock.after(SNAPSHOT_SECONDS, beat);
    show(false);
  };
  conductor.onChange(() => show(true));
  people.on('message', async (message: ToRunThread) => {
    const { id } = message;
    if (message.kind === 'order') tell({ kind: 'answer', id, answer: conductor.order(message.order) });
    else if (message.kind === 'pace') tell({ kind: 'answer', id, answer: conductor.setPace(message.pace) });
    else {
      cancelBeat();
      stopTime();
      await conductor.close();
      data.recorder.close();
      tell({ kind: 'answer', id, answer: { ok: true } });
      people.close();
    }
  });
  tell({ kind: 'ready', snapshot: conductor.snapshot() });
  show(true);
  beat();
}

begin().catch((error: Error) => tell({ kind: 'failed', words: error.message }));
