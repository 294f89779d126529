import type { Checkpoint, EventKind } from '../logbook/logbook';
import type { RunReport } from './types';

/** Where what happens is kept. Calls are few (some a minute) and must not block: the walk is fed from the same thread. */
export interface RunRecorder {
  /** A walk begins anew under this id, or a stopped one goes on under its old id. */
  begin(runId: string, atTurns: number): void;
  checkpoint(runId: string, seen: Omit<Checkpoint, 'atMs'>): void;
  /** `runId` is null while nothing was started yet. */
  event(runId: string | null, kind: EventKind, turnsWalked: number | null, words: string): void;
  /** It came to rest for good or until somebody goes on with it. */
  end(runId: string, report: RunReport): void;
}
