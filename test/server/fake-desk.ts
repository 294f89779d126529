/** A desk that records what it is asked and walks when told to: the server is tested without a stand. */
import type { RunDesk, RunRequest, RunTick, RunView } from '../../firmware-host/server/desk';
import type { Answer } from '../../firmware-host/server/messages';

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
        airRun: false,
        done: false,
      },
      loaded: null,
      runId: null,
      switchedOn: false,
      restsAtTurns: null,
      stoodAtTurns: null,
      cutShort: null,
      air: false,
      paceTarget: 1,
      report: null,
      virtualGlass: null,
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
      glass: 'The lap is up: it presses no mark.',
      line: { damaged: 0, sentAgain: 0 },
      slip: null,
      startsInSeconds: null,
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

  notKept(why: string): void {
    this.noted.push(why);
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
