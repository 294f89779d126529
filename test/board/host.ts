/** The thread of the line: holds the port, the clock and the person, and answers the thread in which the cases run. */
import { join } from 'node:path';
import { MessageChannel, Worker } from 'node:worker_threads';
import type { Surroundings } from '../../firmware-host/cli/verb';
import type { HostClock } from '../../firmware-host/stand/clock';
import { openPort, type Port, type Ports } from '../../firmware-host/stand/serial/port';
import { SerialPipe } from '../../firmware-host/stand/serial/serial-pipe';
import { concat } from '../support/segments';
import type { Answer, Question, Summary, ThreadData } from './exchange';

/** How long DTR is let go so that the usual carrier boards reset when it comes back. */
const RESET_SECONDS = 0.25;

export interface HostOptions extends Pick<ThreadData, 'boardCode' | 'subject' | 'only'> {
  path: string;
  ports: Ports;
  clock: HostClock;
  call: Surroundings;
  /** Keeps the report, whole each time. */
  keep(text: string): void;
}

/** Sees a session through; rejects where the port does not open or the thread fails. */
export async function hostSession(options: HostOptions): Promise<Summary> {
  const { path, ports, call, boardCode, subject, only } = options;
  const port = await openPort(path, ports);
  const { port1: near, port2: far } = new MessageChannel();
  const turns = new SharedArrayBuffer(4);
  const data: ThreadData = { port: far, turns, boardCode, subject, only };
  const worker = new Worker(join(__dirname, 'thread.ts'), {
    workerData: data,
    transferList: [far],
    execArgv: ['-r', 'ts-node/register/transpile-only'],
  });
  const host = new Host(options, port, (answer) => {
    near.postMessage(answer);
    Atomics.add(new Int32Array(turns), 0, 1);
    Atomics.notify(new Int32Array(turns), 0);
  });
  const offs = [call.onInterrupt(() => host.interrupt()), call.onLine?.((line) => host.type(line))];
  try {
    return await new Promise<Summary>((resolve, reject) => {
      near.on('message', (question: Question) => {
        if (question.kind === 'end') {
          call.err(question.words);
          resolve(question.summary);
        } else if (question.kind === 'keep') options.keep(question.text);
        else host.ask(question);
      });
      worker.on('error', reject);
      worker.on('exit', () => reject(new Error('the thread of the cases ended before its session')));
    });
  } finally {
    for (const off of offs) off?.();
    near.close();
    await worker.terminate();
    await host.close();
  }
}

class Host {
  private readonly line: SerialPipe;
  private received: Uint8Array[] = [];
  private lines: string[] = [];
  private interrupted = false;
  private gone: string | null = null;

  constructor(
    private readonly options: HostOptions,
    private readonly port: Port,
    private readonly answer: (answer: Answer) => void,
  ) {
    this.line = new SerialPipe(port);
    this.line.onBytes((bytes) => this.received.push(Uint8Array.from(bytes)));
    this.line.onClose((words) => {
      this.gone = words;
    });
  }

  ask(question: Extract<Question, { kind: 'exchange' | 'reset' }>): void {
    const { call, clock } = this.options;
    if (question.words !== '') call.err(question.words);
    if (question.kind === 'reset') void this.reset().then((done) => this.tell(done));
    else {
      if (question.bytes.length > 0) this.line.write(question.bytes);
      clock.after(question.seconds, () => this.tell(false));
    }
  }

  type(line: string): void {
    this.lines.push(line);
  }

  interrupt(): void {
    this.interrupted = true;
  }

  close(): Promise<void> {
    return this.line.close();
  }

  private tell(reset: boolean): void {
    const { received, lines, interrupted, gone } = this;
    this.received = [];
    this.lines = [];
    this.interrupted = false;
    this.answer({ bytes: concat(received), now: this.options.clock.now(), lines, reset, interrupted, gone });
  }

  /** False where the port has no such lines. What was heard before is dropped. */
  private async reset(): Promise<boolean> {
    const letGo = await this.setLines(false);
    await new Promise<void>((resolve) => this.options.clock.after(RESET_SECONDS, resolve));
    this.received = [];
    return (await this.setLines(true)) && letGo;
  }

  private setLines(on: boolean): Promise<boolean> {
    return new Promise((resolve) => {
      if (this.port.isOpen)
        this.port.set({ dtr: on, rts: on }, (error) => resolve(error === null || error === undefined));
      else resolve(false);
    });
  }
}
