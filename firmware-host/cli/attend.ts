/** A run seen through from a terminal: start, progress, the person's hands where it waits for them, and Ctrl+C. */
import type { Order } from '../run/conductor';
import type { RunPlan } from '../run/plan';
import type { RunThread } from '../run/thread-host';
import type { RunReport, RunState } from '../run/types';
import { RealClock } from '../stand/clock';
import { ask } from './person';
import { progressLine } from './progress';
import { type Call, MachineError } from './verb';

type Attended = Pick<RunThread, 'snapshot' | 'result' | 'onChange' | 'order' | 'close'>;

const PROGRESS_SECONDS = 0.1;
const START: readonly [Order, RunState][] = [
  [{ kind: 'command', command: 'reset' }, 'Idle'],
  [{ kind: 'command', command: 'start', from: 'beginning' }, 'Execute'],
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
  trouble: () => string | null,
): Promise<RunReport> {
  try {
    await agreeToStart(call, run);
    const calledOff = call.onInterrupt(() => void run.order({ kind: 'command', command: 'stop' }));
    const stopDrawing = call.terminal ? drawProgress(call, () => progressLine(plan, run.snapshot())) : () => {};
    try {
      return await seeThrough(call, run, trouble);
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

async function seeThrough(call: Call, run: Attended, trouble: () => string | null): Promise<RunReport> {
  const orders: readonly [Order, RunState][] =
    run.snapshot().state === 'Aborted' ? [[{ kind: 'command', command: 'clear' }, 'Stopped'], ...START] : START;
  for (const [order, state] of orders) {
    const answer = await run.order(order);
    if (!answer.ok) throw new MachineError(answer.words);
    const reached = await until(run, trouble, [state, ...ENDED, 'Suspended']);
    if (reached !== state) break;
  }
  for (;;) {
    const state = await until(run, trouble, [...ENDED, 'Suspended']);
    if (state !== 'Suspended') return run.result()!;
    await waitForPerson(call, run, trouble);
  }
}

/** It waits for something outside. Where nobody can do it the run is stopped, and can be gone on with later. */
async function waitForPerson(call: Call, run: Attended, trouble: () => string | null): Promise<void> {
  const { words, next } = run.snapshot();
  if (call.onLine === undefined) {
    call.err(`${words}. Nobody is at a terminal to do it, so the run is stopped.\n`);
    await run.order({ kind: 'command', command: 'stop' });
    await until(run, trouble, ENDED);
    return;
  }
  const goesOnAlone = until(run, trouble, [...ENDED, 'Execute']);
  const line = await ask(call, `${words}. ${next} Press Enter when it is done: `, goesOnAlone);
  if (line === null) return;
  const answer = await run.order({ kind: 'command', command: 'unsuspend' });
  if (!answer.ok) call.err(`${answer.words}\n`);
}

/** The first of these states that the run is in. Rejects when run control is gone. */
function until(run: Attended, trouble: () => string | null, states: readonly RunState[]): Promise<RunState> {
  return new Promise((resolve, reject) => {
    const clock = new RealClock();
    let cancel = (): void => {};
    const look = (): void => {
      const { state } = run.snapshot();
      const words = trouble();
      if (words === null && !states.includes(state)) {
        cancel = clock.after(PROGRESS_SECONDS, look);
        return;
      }
      cancel();
      if (words === null) resolve(state);
      else reject(new MachineError(words));
    };
    look();
  });
}

function drawProgress(call: Call, line: () => string): () => void {
  const clock = new RealClock();
  let cancel = (): void => {};
  const draw = (): void => {
    call.err(`\r\x1b[K${line()}`);
    cancel = clock.after(PROGRESS_SECONDS, draw);
  };
  draw();
  return () => {
    cancel();
    call.err('\r\x1b[K');
  };
}
