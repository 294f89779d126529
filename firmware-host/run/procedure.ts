/**
 * Procedures: what takes a while on a stand, written as it reads ("ease, then when at rest lift"), advanced by the stand's
 * reports and by nothing else. No timers, no promises: a procedure that is replaced stops between two reports and leaves nothing
 * behind.
 */
import type { StandStatus } from '../stand/stand-link';

export interface Wait {
  until(status: StandStatus): boolean;
  withinSeconds: number;
  /** What a person is told when it does not come; completes "Stopped by ...". */
  late: string;
}

/** Yields what it waits for, gets the report that fulfilled it. */
export type Procedure<T = void> = Generator<Wait, T, StandStatus>;

/** Thrown inside a procedure; completes "Stopped by ...". */
export class Trouble extends Error {
  override readonly name = 'Trouble';
}

export function* until(
  ready: (status: StandStatus) => boolean,
  withinSeconds: number,
  late: string,
): Procedure<StandStatus> {
  return yield { until: ready, withinSeconds, late };
}

interface Outcome {
  done(): void;
  trouble(words: string): void;
}

interface Running {
  procedure: Procedure;
  wait: Wait;
  deadline: number;
  overdue: boolean;
  outcome: Outcome;
}

/** Runs one procedure at a time. */
export class ProcedureRunner {
  private running: Running | null = null;

  constructor(private readonly now: () => number) {}

  get busy(): boolean {
    return this.running !== null;
  }

  /** Replaces what was running. `status` is the latest report: what is true already is not waited for. */
  start(procedure: Procedure, status: StandStatus, outcome: Outcome): void {
    this.cancel();
    this.advance(procedure, outcome, () => procedure.next(), status);
  }

  cancel(): void {
    const { running } = this;
    this.running = null;
    running?.procedure.return();
  }

  /** A report came in. */
  report(status: StandStatus): void {
    const { running } = this;
    if (running === null) return;
    let ready = false;
    try {
      ready = running.wait.until(status);
    } catch (error) {
      this.fail(error, running.outcome);
      return;
    }
    if (ready) this.advance(running.procedure, running.outcome, () => running.procedure.next(status), status);
    else if (this.now() > running.deadline && !running.overdue) {
      // A simulation may have run on for seconds in one go: answers that are on their way as promises get their turn first.
      running.overdue = true;
      queueMicrotask(() => this.overdue(running, status));
    }
  }

  private overdue(running: Running, status: StandStatus): void {
    if (this.running !== running) return;
    this.report(status);
    if (this.running === running) this.fail(new Trouble(running.wait.late), running.outcome);
  }

  /** Goes on as long as what is waited for is already true. */
  private advance(
    procedure: Procedure,
    outcome: Outcome,
    step: () => IteratorResult<Wait, void>,
    status: StandStatus,
  ): void {
    this.running = null;
    try {
      let result = step();
      while (result.done !== true && result.value.until(status)) result = procedure.next(status);
      if (result.done !== true) {
        const wait = result.value;
        this.running = { procedure, wait, deadline: this.now() + wait.withinSeconds, overdue: false, outcome };
        return;
      }
    } catch (error) {
      this.fail(error, outcome);
      return;
    }
    outcome.done();
  }

  private fail(error: unknown, outcome: Outcome): void {
    this.cancel();
    if (!(error instanceof Error)) throw error;
    outcome.trouble(error.message);
  }
}
