import type { Checkpoint, EventKind } from '../logbook/logbook';
import type { RunReport } from './types';

/** Where what happens is kept. Calls are few (some a minute) and must not block: the walk is fed from the same thread. */
export interface RunRecorder {
  /** A walk begins anew under this id, or a stopped one goes on under its old id; `air`: the lap stays up. */
  begin(runId: string, atTurns: number, air: boolean): void;
  checkpoint(runId: string, seen: Omit<Checkpoint, 'atMs'>): void;
  /** `runId` is null while nothing was started yet. */
  event(runId: string | null, kind: EventKind, turnsWalked: number | null, words: string): void;
  /** It came to rest for good or until somebody goes on with it. */
  end(runId: string, report: RunReport): void;
}

/** A recorder whose failures end nothing: each is told in words, and the walk's own rules say what becomes of it. */
export function carefulRecorder(recorder: RunRecorder, failed: (words: string) => void): RunRecorder {
  const careful =
    <Args extends unknown[]>(write: (...args: Args) => void) =>
    (...args: Args): void => {
      try {
        write(...args);
      } catch (error) {
        failed((error as Error).message);
      }
    };
  return {
    begin: careful((runId: string, atTurns: number, air: boolean) => recorder.begin(runId, atTurns, air)),
    checkpoint: careful((runId: string, seen: Omit<Checkpoint, 'atMs'>) => recorder.checkpoint(runId, seen)),
    event: careful((runId: string | null, kind: EventKind, turns: number | null, words: string) =>
      recorder.event(runId, kind, turns, words),
    ),
    end: careful((runId: string, report: RunReport) => recorder.end(runId, report)),
  };
}
