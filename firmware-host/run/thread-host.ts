/** Run control in its own thread or process, seen from the thread that serves people. Same questions and orders as the conductor itself. */
import type { EventKind } from '../logbook/logbook';
import { Listeners } from '../stand/listeners';
import type { WornGlass } from '../virtual/glass/what-it-did';
import { type Aside, startAside } from './aside-host';
import type { Order, OrderAnswer } from './conductor';
import type { RunSnapshot } from './snapshot';
import type { FromRunThread, RunThreadData, ToRunThread } from './thread-messages';
import type { RunReport } from './types';

export interface RunThreadOptions extends RunThreadData {
  /** What happened, in words, as it is also kept in the logbook. */
  happened(kind: EventKind, turnsWalked: number | null, words: string): void;
  /** What a run did to the virtual glass, each time it has come to rest. */
  worn(glass: WornGlass): void;
  /** The thread ended by itself. The controller eases and lifts without it; the words say so. */
  died(words: string): void;
}

export class RunThread {
  private latest: { snapshot: RunSnapshot; result: RunReport | null };
  private readonly changes = new Listeners<RunSnapshot>();
  private readonly asked = new Map<number, (answer: OrderAnswer) => void>();
  private nextId = 1;
  private over: string | null = null;
  private glass: WornGlass | null = null;

  private readonly ended: Promise<void>;

  private constructor(
    private readonly aside: Aside,
    first: RunSnapshot,
    private readonly options: RunThreadOptions,
  ) {
    this.latest = { snapshot: first, result: null };
    this.ended = new Promise((resolve) => aside.onEnd(resolve));
    aside.onMessage((message) => this.receive(message));
    aside.onError((error) => this.end(`Run control failed (${error.message}). ${ALONE}`));
    aside.onEnd(() => this.end(`Run control ended. ${ALONE}`));
  }

  /** Rejects when the stand does not answer or the program cannot be walked on it. */
  static begin(options: RunThreadOptions): Promise<RunThread> {
    const { happened, died, worn: _, ...data } = options;
    const aside = startAside(data);
    return new Promise((resolve, reject) => {
      let begun = false;
      aside.onMessage((message) => {
        if (begun) return;
        if (message.kind === 'event') happened(message.event, message.turnsWalked, message.words);
        else if (message.kind === 'failed') reject(new Error(message.words));
        else if (message.kind === 'ready') {
          begun = true;
          resolve(new RunThread(aside, message.snapshot, options));
        }
      });
      aside.onError(reject);
      aside.onEnd(() => reject(new Error('Run control ended before it had begun.')));
    });
  }

  /** At most 50 ms old. */
  snapshot(): RunSnapshot {
    return this.latest.snapshot;
  }

  result(): RunReport | null {
    return this.latest.result;
  }

  /** What the run did to the virtual glass; null on iron, and before it first came to rest. */
  wornGlass(): WornGlass | null {
    return this.glass;
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

  /** The logbook could not keep a row of this run; what walks waits for a person. */
  notKept(words: string): void {
    if (this.over === null) this.aside.post({ kind: 'notKept', words });
  }

  async close(): Promise<void> {
    if (this.over !== null) return;
    await this.ask((id) => ({ kind: 'close', id }));
    this.over = 'Run control was closed.';
    await this.ended;
  }

  private ask(message: (id: number) => ToRunThread): Promise<OrderAnswer> {
    if (this.over !== null) return Promise.resolve({ ok: false, words: this.over });
    const id = this.nextId++;
    return new Promise((resolve) => {
      this.asked.set(id, resolve);
      this.aside.post(message(id));
    });
  }

  private receive(message: FromRunThread): void {
    if (message.kind === 'snapshot') {
      this.latest = { snapshot: message.snapshot, result: message.result };
      if (message.changed) this.changes.tell(message.snapshot);
    } else if (message.kind === 'event') this.options.happened(message.event, message.turnsWalked, message.words);
    else if (message.kind === 'worn') {
      this.glass = message.glass;
      this.options.worn(message.glass);
    } else if (message.kind === 'answer') {
      this.asked.get(message.id)?.(message.answer);
      this.asked.delete(message.id);
    }
  }

  private end(words: string): void {
    for (const answer of this.asked.values()) answer({ ok: false, words });
    this.asked.clear();
    if (this.over !== null) return;
    this.over = words;
    this.options.died(words);
  }
}

const ALONE = 'The controller hears nothing more, eases on the path and lifts the lap by itself. Look at the stand.';
