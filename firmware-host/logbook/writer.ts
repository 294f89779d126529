/**
 * The logbook's own thread, seen from the one that serves people. A commit waits for the disc, on a worn memory card for a second;
 * here it keeps nobody waiting, above all no person who wants it to stop.
 */
import { join } from 'node:path';
import { MessageChannel, type MessagePort, Worker } from 'node:worker_threads';
import { THREAD_ARGUMENTS } from '../run/thread-messages';
import { LogbookError } from './database';
import type { RunDescription } from './recorder';

export type ToWriter = { kind: 'recorder'; port: MessagePort; description: RunDescription } | { kind: 'close' };
export type FromWriter =
  | { kind: 'open' }
  | { kind: 'refused'; fault: LogbookError['fault']; words: string }
  | { kind: 'trouble'; words: string };

export class LogbookWriter {
  private constructor(private readonly worker: Worker) {}

  /** Rejects with LogbookError. `trouble` is told when a row could not be kept later on. */
  static open(file: string, trouble: (words: string) => void): Promise<LogbookWriter> {
    const worker = new Worker(join(__dirname, 'writer-thread.ts'), {
      workerData: { file },
      execArgv: THREAD_ARGUMENTS,
    });
    return new Promise((resolve, reject) => {
      worker.on('error', (error) => {
        reject(error);
        trouble(`The logbook's thread failed (${error.message}); what happens from now on is not kept.`);
      });
      worker.on('message', (message: FromWriter) => {
        if (message.kind === 'open') resolve(new LogbookWriter(worker));
        else if (message.kind === 'refused') reject(new LogbookError(message.fault, message.words));
        else trouble(message.words);
      });
    });
  }

  /** The end to hand to whoever runs a program; what is posted there is kept in order. */
  recorderPort(description: RunDescription): MessagePort {
    const { port1, port2 } = new MessageChannel();
    this.post({ kind: 'recorder', port: port1, description }, [port1]);
    return port2;
  }

  /** Keeps what was posted so far, then closes the file. */
  async close(): Promise<void> {
    const ended = new Promise((resolve) => this.worker.once('exit', resolve));
    this.post({ kind: 'close' }, []);
    await ended;
  }

  private post(message: ToWriter, transfer: MessagePort[]): void {
    this.worker.postMessage(message, transfer);
  }
}
