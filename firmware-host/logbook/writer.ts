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
  | { kind: 'notKept'; words: string };

/** For people; what was not kept is tried again with the next row. */
export function notKeptWords(why: string): string {
  return `The logbook could not be written: ${why}. Rows are kept in memory until there is room on the disc.`;
}

export class LogbookWriter {
  private constructor(private readonly worker: Worker) {}

  /** Rejects with LogbookError. `notKept` is told why whenever a row could not be kept later on. */
  static open(file: string, notKept: (words: string) => void): Promise<LogbookWriter> {
    const worker = new Worker(join(__dirname, 'writer-thread.ts'), {
      workerData: { file },
      execArgv: THREAD_ARGUMENTS,
    });
    return new Promise((resolve, reject) => {
      worker.on('error', (error) => {
        reject(error);
        notKept(`its thread failed, and nothing is kept until the next launch: ${error.message}`);
      });
      worker.on('message', (message: FromWriter) => {
        if (message.kind === 'open') resolve(new LogbookWriter(worker));
        else if (message.kind === 'refused') reject(new LogbookError(message.fault, message.words));
        else notKept(message.words);
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
