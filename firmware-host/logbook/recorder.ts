/** Keeps a run in the logbook straight from the thread it is conducted in. For rehearsals; a run on iron is recorded from another thread. */
import type { RunRecorder } from '../run/recorder';
import type { RunReport } from '../run/types';
import { giveUpLeftOpen } from './left-open';
import type { Checkpoint, EventKind, Logbook, NewRun } from './logbook';

export type RunDescription = Omit<NewRun, 'id' | 'startedMs'>;

/**
 * Places closer together than this share a commit. On iron they never are but by chance; a rehearsal in a hurry has hundreds a
 * second, and each commit waits for the disc.
 */
const SHARED_COMMIT_MS = 200;

export class LogbookRecorder implements RunRecorder {
  private waiting: Checkpoint[] = [];
  private committedMs = Number.NEGATIVE_INFINITY;

  constructor(
    private readonly logbook: Logbook,
    private readonly description: RunDescription,
    /** Wall clock, milliseconds since 1970. */
    private readonly nowMs: () => number,
  ) {}

  begin(runId: string): void {
    giveUpLeftOpen(this.logbook, this.description.virtual, runId);
    if (this.logbook.run(runId) !== null) this.logbook.reopenRun(runId);
    else this.logbook.beginRun({ ...this.description, id: runId, startedMs: this.nowMs() });
  }

  checkpoint(runId: string, seen: Omit<Checkpoint, 'atMs'>): void {
    const atMs = this.nowMs();
    this.waiting.push({ ...seen, atMs });
    if (Math.abs(atMs - this.committedMs) >= SHARED_COMMIT_MS) this.commit(runId, atMs);
  }

  event(runId: string | null, kind: EventKind, turnsWalked: number | null, words: string): void {
    const { virtual } = this.description;
    this.logbook.event({ run: runId, virtual, atMs: this.nowMs(), turnsWalked, kind, words });
  }

  end(runId: string, report: RunReport): void {
    const atMs = this.nowMs();
    this.commit(runId, atMs);
    this.logbook.endRun(runId, atMs, report);
  }

  private commit(runId: string, atMs: number): void {
    if (this.waiting.length > 0) this.logbook.checkpoint(runId, ...this.waiting);
    this.waiting = [];
    this.committedMs = atMs;
  }
}

/** Names a run by the minute it began and two random bytes. */
export function runIdAt(nowMs: number, random16: number): string {
  const minute = new Date(nowMs).toISOString().slice(0, 16).replace('T', '-').replace(':', '');
  return `${minute}-${random16.toString(16).padStart(4, '0')}`;
}
