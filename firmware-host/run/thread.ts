/** Entry of the thread that walks the virtual stand. */
import { parentPort, workerData } from 'node:worker_threads';
import { portRecorder } from '../logbook/port-recorder';
import { conductAside } from './aside';
import type { RunThreadData } from './thread-messages';

const people = parentPort!;
const { recorder, ...data } = workerData as RunThreadData;

void conductAside(data, portRecorder(recorder), {
  tell: (message) => people.postMessage(message),
  onMessage: (listener) => people.on('message', listener),
  end: () => {
    recorder.close();
    people.close();
  },
});
