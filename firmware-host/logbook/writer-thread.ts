/** Entry of the logbook's thread: keeps what runs post, in order, and tells when it cannot. */
import { type MessagePort, parentPort, receiveMessageOnPort, workerData } from 'node:worker_threads';
import { LogbookError } from './database';
import { Logbook } from './logbook';
import { carryOut, type RecorderCall } from './port-recorder';
import { LogbookRecorder } from './recorder';
import type { FromWriter, ToWriter } from './writer';

const { file } = workerData as { file: string };
const people = parentPort!;
const tell = (message: FromWriter): void => people.postMessage(message);
const recorders: { port: MessagePort; keep: (call: RecorderCall) => void; flush: () => void }[] = [];

function serve(logbook: Logbook): void {
  people.on('message', (message: ToWriter) => {
    if (message.kind === 'recorder') {
      const recorder = new LogbookRecorder(logbook, message.description, Date.now);
      const careful = (write: () => void): void => {
        try {
          write();
        } catch (error) {
          tell({ kind: 'notKept', words: (error as Error).message });
        }
      };
      const keep = (call: RecorderCall): void => careful(() => carryOut(call, recorder));
      message.port.on('message', keep);
      recorders.push({ port: message.port, keep, flush: () => careful(() => recorder.flush()) });
      return;
    }
    for (const { port, keep, flush } of recorders) {
      for (let rest = receiveMessageOnPort(port); rest !== undefined; rest = receiveMessageOnPort(port))
        keep(rest.message as RecorderCall);
      flush();
      port.close();
    }
    logbook.close();
    people.close();
  });
  tell({ kind: 'open' });
}

try {
  serve(Logbook.open(file));
} catch (error) {
  if (!(error instanceof LogbookError)) throw error;
  tell({ kind: 'refused', fault: error.fault, words: error.message });
}
