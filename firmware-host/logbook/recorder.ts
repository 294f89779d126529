/** Keeps a run in the logbook straight from the thread it is conducted in. For rehearsals; a run on iron is recorded from another thread. */
import type { RunRecorder } from '../run/recorder';
import type { RunReport } from '../run/types';
import type { Checkpoint, EventKind, Logbook, NewRun } from './logbook';

export type RunDescription = Omit<NewRun, 'id' | 'startedMs'>;

export class LogbookRecorder implements RunRecorder {
  constructor(
    private readonly logbook: Logbook,
    private readonly description: RunDescription,
    /** Wall clock, milliseconds since 1970. */
    private readonly nowMs: () => number,
  ) {}

  begin(runId: string): void {
    if (this.logbook.run(runId) !== null) this.logbook.reopenRun(runId);
    else this.logbook.beginRun({ ...this.description, id: runId, startedMs: this.nowMs() });
  }

  checkpoint(runId: string, seen: Omit<Checkpoint, 'atMs'>): void {
    this.logbook.checkpoint(runId, { ...seen, atMs: this.nowMs() });
  }

  event(runId: string | null, kind: EventKind, turnsWalked: number | null, words: string): void {
    const { virtual } = this.description;
    this.logbook.event({ run: runId, virtual, atMs: this.nowMs(), turnsWalked, kind, words });
  }

  end(runId: string, report: RunReport): void {
    this.logbook.endRun(runId, this.nowMs(), report);
  }
}

/** Names a run by the minute it began and two random bytes. */
export function runIdAt(nowMs: number, random16: number): string {
  const minute = new Date(nowMs).toISOString().slice(0, 16).replace('T', '-').replace(':', '');
  return `${minute}-${random16.toString(16).padStart(4, '0')}`;
}
