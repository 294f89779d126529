/** Run control in its own thread, seen from the one that serves people. Same questions and orders as the conductor itself. */
import { join } from 'node:path';
import { Worker } from 'node:worker_threads';
import type { EventKind } from '../logbook/logbook';
import { Listeners } from '../stand/listeners';
import type { Order, OrderAnswer } from './conductor';
import type { RunSnapshot } from './snapshot';
import { type FromRunThread, type RunThreadData, THREAD_ARGUMENTS, type ToRunThread } from './thread-messages';
import type { RunReport } from './types';

export interface RunThreadOptions extends RunThreadData {
  /** What happened, in words, as it is also kept in the logbook. */
  happened(kind: EventKind, turnsWalked: number | null, words: string): void;
  /** The thread ended by itself. The controller eases and lifts without it; the words say so. */
  died(words: string): void;
}

export class RunThread {
  private latest: { snapshot: RunSnapshot; result: RunReport | null };
  private readonly changes = new Listeners<RunSnapshot>();
  private readonly asked = new Map<number, (answer: OrderAnswer) => void>();
  private nextId = 1;
  private over: string | null = null;

  private constructor(
    private readonly worker: Worker,
    first: RunSnapshot,
    options: RunThreadOptions,
  ) {
    this.latest = { snapshot: first, result: null };
    worker.on('message', (message: FromRunThread) => this.receive(message, options));
    worker.on('error', (error) => this.end(`Run control failed (${error.message}). ${ALONE}`, options));
    worker.on('exit', () => this.end(`Run control ended. ${ALONE}`, options));
  }

  /** Rejects when the stand does not answer or the program cannot be walked on it. */
  static begin(options: RunThreadOptions): Promise<RunThread> {
    const { happened, died, ...data } = options;
    const worker = new Worker(join(__dirname, 'thread.ts'), {
      workerData: data,
      transferList: [data.recorder],
      execArgv: THREAD_ARGUMENTS,
    });
    return new Promise((resolve, reject) => {
      const first = (message: FromRunThread): void => {
        if (message.kind === 'event') happened(message.event, message.turnsWalked, message.words);
        else if (message.kind === 'failed') reject(new Error(message.words));
        else if (message.kind === 'ready') {
          worker.off('message', first);
          worker.off('error', reject);
          resolve(new RunThread(worker, message.snapshot, options));
        }
      };
      worker.on('message', first);
      worker.on('error', reject);
      worker.once('exit', () => reject(new Error('Run control ended before it had begun.')));
    });
  }

  /** At most 50 ms old. */
  snapshot(): RunSnapshot {
    return this.latest.snapshot;
  }

  result(): RunReport | null {
    return this.latest.result;
  }

  onChange(listener: (snapshot: RunSnapshot) => void): () => void {
    return this.changes.add(listener);
  }

  order(order: Order): Promise<OrderAnswer> {
    return this.ask((id) => ({ kind: 'order', id, order }));
  }

  setPace(pace: number): Promise<OrderAnswer> {
    return this.ask((id) => ({ kind: 'pace', id, pace }));
  }

  async close(): Promise<void> {
    if (this.over !== null) return;
    const ended = new Promise((resolve) => this.worker.once('exit', resolve));
    await this.ask((id) => ({ kind: 'close', id }));
    this.over = 'Run control was closed.';
    await ended;
  }

  private ask(message: (id: number) => ToRunThread): Promise<OrderAnswer> {
    if (this.over !== null) return Promise.resolve({ ok: false, words: this.over });
    const id = this.nextId++;
    return new Promise((resolve) => {
      this.asked.set(id, resolve);
      this.worker.postMessage(message(id));
    });
  }

  private receive(message: FromRunThread, options: RunThreadOptions): void {
    if (message.kind === 'snapshot') {
      this.latest = { snapshot: message.snapshot, result: message.result };
      if (message.changed) this.changes.tell(message.snapshot);
    } else if (message.kind === 'event') options.happened(message.event, message.turnsWalked, message.words);
    else if (message.kind === 'answer') {
      this.asked.get(message.id)?.(message.answer);
      this.asked.delete(message.id);
    }
  }

  private end(words: string, options: RunThreadOptions): void {
    for (const answer of this.asked.values()) answer({ ok: false, words });
    this.asked.clear();
    if (this.over !== null) return;
    this.over = words;
    options.died(words);
  }
}

const ALONE = 'The controller hears nothing more, eases on the path and lifts the lap by itself. Look at the stand.';
