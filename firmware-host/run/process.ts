/**
 * Entry of the process that walks a stand of iron. A process and not a thread: serialport's bindings 13 poll a port on the main loop of
 * their process, and end the process when they are loaded in a thread (seen on Linux with Node 20).
 */
import { conductAside, type People } from './aside';
import type { RunRecorder } from './recorder';
import type { FromRunThread, RunData, ToRunThread } from './thread-messages';

/** The terminal sends Ctrl+C to every process on it; what it means is for the one that serves the person. */
process.on('SIGINT', () => {}).on('SIGTERM', () => {});

const LEAVE_MS = 1000;

const tell = (message: FromRunThread): void => {
  if (process.connected) process.send!(message);
};
const recorder: RunRecorder = {
  begin: (...args) => tell({ kind: 'record', call: { name: 'begin', args } }),
  checkpoint: (...args) => tell({ kind: 'record', call: { name: 'checkpoint', args } }),
  event: (...args) => tell({ kind: 'record', call: { name: 'event', args } }),
  end: (...args) => tell({ kind: 'record', call: { name: 'end', args } }),
};

process.once('message', (data: RunData) => {
  const people: People = {
    tell,
    onMessage(listener) {
      process.on('message', (message: ToRunThread) => listener(message));
      // The one that serves people is gone: nobody can stop it any more, so it eases, and the controller lifts the lap.
      process.once('disconnect', () => listener({ kind: 'close', id: 0 }));
    },
    end: () => {
      if (process.connected) process.disconnect();
      process.removeAllListeners('message');
      // A foot switch that is held down keeps a timer of johnny-five's going.
      setTimeout(() => process.exit(), LEAVE_MS).unref();
    },
  };
  void conductAside(data, recorder, people);
});
