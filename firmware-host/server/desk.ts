/**
 * The desk: what the server needs of run control. It knows the run and the stand; it does not know sockets, keys or pages. The
 * server adds who is in control and who has read the cautions.
 */
import type { AnswerTo, Request, Tick, View } from './messages';

/** Requests that are about the run and not about who is talking. */
export type RunRequest = Exclude<Request, { ask: 'takeControl' | 'leaveControl' | 'acknowledgeCautions' }>;

export type RunView = Omit<View, 'launch' | 'control' | 'cautionsAcknowledged'>;
export type RunTick = Omit<Tick, 'sentAtMs' | 'number'>;

export interface RunDesk {
  view(): RunView;
  tick(): RunTick;
  /** Stop and pause take effect before this resolves; nothing here waits for a page. */
  ask(request: RunRequest): Promise<AnswerTo<RunRequest['ask']>>;
  /** Writes a line into what happened, e.g. that control changed hands. */
  note(words: string): void;
  /** The logbook could not keep a row, for this reason: it is told, and what walks waits for a person. */
  notKept(words: string): void;
  /** Called after every change of what view() returns. */
  onChange(listener: () => void): () => void;
  /** Names of those who have read the cautions; kept in the logbook, once per person. */
  cautionsAcknowledged(): string[];
  acknowledgeCautions(name: string): void;
  close(): Promise<void>;
}
