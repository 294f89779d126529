/** A run seen through from a terminal: start, progress, the person's hands where it waits for them, and Ctrl+C. */
import type { Order } from '../run/conductor';
import type { RunPlan } from '../run/plan';
import type { StartFrom } from '../run/reducer';
import type { RunSnapshot } from '../run/snapshot';
import type { RunThread } from '../run/thread-host';
import type { RunReport, RunState } from '../run/types';
import { RealClock } from '../stand/clock';
import { askToGoOn } from './go-on';
import { ask } from './person';
import { progressLine } from './progress';
import { type Call, MachineError } from './verb';
import type { Way } from './way';

type Attended = Pick<RunThread, 'snapshot' | 'result' | 'onChange' | 'order' | 'setPace' | 'close'>;

const PROGRESS_SECONDS = 0.1;
const LOOK_SECONDS = 0.05;
const BELL = '\x07';
const startFrom = (from: StartFrom, { air }: Way): readonly [Order, RunState][] => [
  [{ kind: 'command', command: 'reset' }, 'Idle'],
  [{ kind: 'command', command: 'start', from, air }, 'Execute'],
];
const ENDED: readonly RunState[] = ['Complete', 'Stopped', 'Aborted'];

/**
 * From the stand as it was found to the end of the run; closes the run. `trouble` tells why run control is gone, if it is. Throws
 * MachineError where nothing was started.
 */
export async function attend(
  call: Call,
  plan: RunPlan,
  run: Attended,
  way: Way,
  trouble: () => string | null,
): Promise<RunReport> {
  try {
    const from = await askToGoOn(call, run.snapshot(), plan.path.turns);
    await agreeToStart(call, run);
    await run.setPace(way.pace);
    const calledOff = call.onInterrupt(() => void run.order({ kind: 'command', command: 'stop' }));
    const stopDrawing = call.terminal ? drawProgress(call, plan, run) : () => {};
    try {
      return await seeThrough(call, run, trouble, startFrom(from, way));
    } finally {
      stopDrawing();
      calledOff();
    }
  } finally {
    await run.close();
  }
}

/** On iron nothing moves before somebody says so; without a terminal only a stand that nothing had stopped is started. */
async function agreeToStart(call: Call, run: Attended): Promise<void> {
  const { latchedStop, words } = run.snapshot();
  if (call.onLine === undefined) {
    if (latchedStop === null) return;
    throw new MachineError(`${words}. Look at the stand first, then run it at a terminal; nothing has moved.`);
  }
  const line = await ask(
    call,
    'References are sought first, lap up. Press Enter when nobody is near the moving parts, Ctrl+C to leave: ',
  );
  if (line === null) throw new MachineError('Called off; nothing has moved.');
}

async function seeThrough(
  call: Call,
  run: Attended,
  trouble: () => string | null,
  start: readonly [Order, RunState][],
): Promise<RunReport> {
  const orders: readonly [Order, RunState][] =
    run.snapshot().state === 'Aborted' ? [[{ kind: 'command', command: 'clear' }, 'Stopped'], ...start] : start;
  const attended = call.onLine !== undefined;
  // A line that is cut is waited for by a person only: they can put it in again.
  const waits = ({ state, linkLost }: RunSnapshot): boolean => state === 'Suspended' || (linkLost && !attended);
  for (const [order, wanted] of orders) {
    const answer = await run.order(order);
    if (!answer.ok) throw new MachineError(answer.words);
    const { state } = await until(run, trouble, (now) => now.state === wanted || ended(now) || waits(now));
    if (state !== wanted) break;
  }
  for (;;) {
    if (ended(await until(run, trouble, (now) => ended(now) || waits(now)))) return run.result()!;
    if (attended) await waitForPerson(call, run, trouble);
    else await stopUnattended(call, run, trouble);
  }
}

async function waitForPerson(call: Call, run: Attended, trouble: () => string | null): Promise<void> {
  const { words, next } = run.snapshot();
  const goesOnAlone = until(run, trouble, ({ state }) => state !== 'Suspended');
  const line = await ask(call, `${words}. ${next} Press Enter when it is done: `, goesOnAlone);
  if (line === null) return void (await goesOnAlone);
  const answer = await run.order({ kind: 'command', command: 'unsuspend' });
  if (!answer.ok) call.err(`${answer.words}\n`);
}

/** It waits for something outside, and nobody can do it. What was walked can be gone on with later. */
async function stopUnattended(call: Call, run: Attended, trouble: () => string | null): Promise<void> {
  call.err(`${run.snapshot().words}. Nobody is at a terminal to see to it, so the run is stopped.\n`);
  await run.order({ kind: 'command', command: 'stop' });
  await until(run, trouble, ended);
}

const ended = ({ state }: RunSnapshot): boolean => ENDED.includes(state);

/** The first picture of the run for which that holds. Rejects when run control is gone. */
function until(
  run: Attended,
  trouble: () => string | null,
  done: (snapshot: RunSnapshot) => boolean,
): Promise<RunSnapshot> {
  const clock = new RealClock();
  return new Promise((resolve, reject) => {
    const look = (): void => {
      const words = trouble();
      const snapshot = run.snapshot();
      if (words !== null) reject(new MachineError(words));
      else if (done(snapshot)) resolve(snapshot);
      else clock.after(LOOK_SECONDS, look);
    };
    look();
  });
}

function drawProgress(call: Call, plan: RunPlan, run: Attended): () => void {
  const clock = new RealClock();
  let rung: number | null = null;
  let cancel = (): void => {};
  const draw = (): void => {
    const snapshot = run.snapshot();
    // Once a second while it warns, whatever the hour.
    const second = snapshot.startsInSeconds === null ? null : Math.ceil(snapshot.startsInSeconds);
    if (second !== null && second !== rung) call.err(BELL);
    rung = second;
    // There the question stands on this line.
    if (snapshot.state !== 'Suspended') call.err(`\r\x1b[K${progressLine(plan, snapshot)}`);
    cancel = clock.after(PROGRESS_SECONDS, draw);
  };
  draw();
  return () => {
    cancel();
    call.err('\r\x1b[K');
  };
}
