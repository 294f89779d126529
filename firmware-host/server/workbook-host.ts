/** The thread of measurements and learning, seen from the one that serves people. */
import { join } from 'node:path';
import { Worker } from 'node:worker_threads';
import { THREAD_ARGUMENTS } from '../run/thread-messages';
import type { VirtualGlassData } from '../virtual/glass/glasses';
import type { AnswerTo, Request } from './messages';
import type { AtHand } from './workbook';

/** What is asked of the thread: requests of pages, with what lies at hand where it is needed. */
export type WorkbookCall =
  | { ask: 'workbook' }
  | (Extract<Request, { ask: 'readVirtualGlass' }> & { data: VirtualGlassData })
  | (Extract<Request, { ask: 'keepMeasurement' | 'learn' }> & { atHand: AtHand });

export interface ToWorkbook {
  id: number;
  call: WorkbookCall;
}
export interface FromWorkbook {
  id: number;
  answer: AnswerTo<WorkbookCall['ask']>;
}

export class WorkbookThread {
  private worker: Worker | null = null;
  private nextId = 1;
  private readonly asked = new Map<number, (answer: FromWorkbook['answer']) => void>();

  /** `file`: the logbook. The thread is started when something is first asked of it. */
  constructor(private readonly file: string) {}

  ask(call: WorkbookCall): Promise<FromWorkbook['answer']> {
    this.worker ??= this.start();
    const id = this.nextId++;
    return new Promise((resolve) => {
      this.asked.set(id, resolve);
      this.worker!.postMessage({ id, call } satisfies ToWorkbook);
    });
  }

  async close(): Promise<void> {
    const { worker } = this;
    this.worker = null;
    await worker?.terminate();
    this.refuseAll('The host is closing.');
  }

  private start(): Worker {
    const worker = new Worker(join(__dirname, 'workbook-thread.ts'), {
      workerData: { file: this.file },
      execArgv: THREAD_ARGUMENTS,
    });
    worker.on('message', ({ id, answer }: FromWorkbook) => {
      this.asked.get(id)?.(answer);
      this.asked.delete(id);
    });
    worker.on('error', (error) => {
      if (this.worker === worker) this.worker = null;
      this.refuseAll(`The thread of measurements failed (${error.message}). Ask again; the run is not touched by it.`);
    });
    return worker;
  }

  private refuseAll(words: string): void {
    for (const answer of this.asked.values()) answer({ ok: false, words });
    this.asked.clear();
  }
}
