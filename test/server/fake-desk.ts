/** A desk that records what it is asked and walks when told to: the server is tested without a stand. */
import type { RunDesk, RunRequest, RunTick, RunView } from '../../firmware-host/server/desk';
import type { Answer } from '../../firmware-host/server/messages';

const NO_ERRORS = { crc: 0, length: 0, type: 0, link: 0, sequence: 0, aborted: 0, overrun: 0, refused: 0 };

export class FakeDesk implements RunDesk {
  readonly asked: RunRequest[] = [];
  readonly noted: string[] = [];
  readonly names: string[] = [];
  answer: Answer = { ok: true };
  turnsWalked = 0;
  virtual = true;
  private readonly listeners = new Set<() => void>();
  private words = 'Ready';

  view(): RunView {
    return {
      standWords: 'Stand of the test',
      virtual: this.virtual,
      speedFactor: 1,
      state: 'Idle',
      words: this.words,
      next: '',
      offered: {
        start: true,
        pause: false,
        resume: false,
        stop: true,
        stopAtTurnEnd: false,
        clear: false,
        reset: false,
        goOn: false,
        startAnew: false,
        done: false,
      },
      loaded: null,
      runId: null,
      stoodAtTurns: null,
      paceTarget: 1,
      report: null,
      happened: [],
    };
  }

  tick(): RunTick {
    return {
      turnsWalked: this.turnsWalked,
      turnsPerSecond: 0,
      pace: 0,
      secondsLeft: null,
      queuedSeconds: 0,
      lift: 'up',
      counters: NO_ERRORS,
      accessories: [],
    };
  }

  ask(request: RunRequest): Promise<Answer> {
    this.asked.push(request);
    return Promise.resolve(this.answer);
  }

  note(words: string): void {
    this.noted.push(words);
  }

  /** Changes what view() says and tells the listeners. */
  become(words: string): void {
    this.words = words;
    for (const listener of this.listeners) listener();
  }

  onChange(listener: () => void): () => void {
    this.listeners.add(listener);
    return () => this.listeners.delete(listener);
  }

  cautionsAcknowledged(): string[] {
    return this.names;
  }

  acknowledgeCautions(name: string): void {
    this.names.push(name);
  }

  close(): Promise<void> {
    return Promise.resolve();
  }
}
