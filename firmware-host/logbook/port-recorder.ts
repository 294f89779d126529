/** A recorder whose logbook lives in another thread: rows are posted and forgotten, so the walk never waits for a disc. */
import type { MessagePort } from 'node:worker_threads';
import type { RunRecorder } from '../run/recorder';

/** One call of a recorder on its way to the logbook's thread. */
export type RecorderCall = {
  [Name in keyof RunRecorder]: { name: Name; args: Parameters<RunRecorder[Name]> };
}[keyof RunRecorder];

export function portRecorder(port: MessagePort): RunRecorder {
  const post = (call: RecorderCall): void => port.postMessage(call);
  return {
    begin: (...args) => post({ name: 'begin', args }),
    checkpoint: (...args) => post({ name: 'checkpoint', args }),
    event: (...args) => post({ name: 'event', args }),
    end: (...args) => post({ name: 'end', args }),
  };
}

export function carryOut({ name, args }: RecorderCall, recorder: RunRecorder): void {
  (recorder[name] as (...args: unknown[]) => void).call(recorder, ...args);
}
