/** Starts run control away from the thread that serves people: in a thread beside it, or in a process of its own. */
import { fork } from 'node:child_process';
import { join } from 'node:path';
import { Worker } from 'node:worker_threads';
import { type FromRunThread, type RunThreadData, THREAD_ARGUMENTS, type ToRunThread } from './thread-messages';

/** The other end of ./aside.ts. Listeners stay until it has ended. */
export interface Aside {
  post(message: ToRunThread): void;
  onMessage(listener: (message: FromRunThread) => void): void;
  onError(listener: (error: Error) => void): void;
  /** Called once, after the last message. */
  onEnd(listener: () => void): void;
}

export function startAside(data: RunThreadData): Aside {
  return data.choice.kind === 'serial' ? startProcess(data) : startThread(data);
}

function startThread(data: RunThreadData): Aside {
  const worker = new Worker(join(__dirname, 'thread.ts'), {
    workerData: data,
    transferList: [data.recorder],
    execArgv: THREAD_ARGUMENTS,
  });
  return {
    post: (message) => worker.postMessage(message),
    onMessage: (listener) => worker.on('message', listener),
    onError: (listener) => worker.on('error', listener),
    onEnd: (listener) => worker.once('exit', listener),
  };
}

/** Rows for the logbook come by this process, which hands them on at once to the logbook's own thread. */
function startProcess({ recorder, ...data }: RunThreadData): Aside {
  const child = fork(join(__dirname, 'process.ts'), [], { execArgv: THREAD_ARGUMENTS, serialization: 'advanced' });
  child.on('message', (message: FromRunThread) => {
    if (message.kind === 'record') recorder.postMessage(message.call);
  });
  child.once('exit', () => recorder.close());
  child.send(data);
  return {
    post: (message) => {
      if (child.connected) child.send(message);
    },
    onMessage: (listener) => child.on('message', (message: FromRunThread) => listener(message)),
    onError: (listener) => child.on('error', listener),
    onEnd: (listener) => child.once('exit', listener),
  };
}
