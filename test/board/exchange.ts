/** What the thread of the cases and the thread of the line say to each other: one question, one answer, by turns. */
import type { MessagePort } from 'node:worker_threads';
import type { Result, Subject } from './report';

export type Question =
  | { kind: 'exchange'; bytes: Uint8Array; seconds: number; words: string }
  | { kind: 'reset'; words: string }
  | { kind: 'keep'; text: string }
  | { kind: 'end'; summary: Summary; words: string };

/** What a session came to. */
export interface Summary {
  counts: Record<Result, number>;
  complete: boolean;
}

export interface Answer {
  bytes: Uint8Array;
  /** The clock, seconds, when this was answered. */
  now: number;
  lines: string[];
  /** Whether the reset line could be pulsed. */
  reset: boolean;
  /** Set once when the person wants to leave. */
  interrupted: boolean;
  /** Why the line is gone; null while it is there. */
  gone: string | null;
}

export interface ThreadData {
  port: MessagePort;
  /** Counts answers; the asking thread sleeps on it. */
  turns: SharedArrayBuffer;
  /** `board` of SPEC 4. */
  boardCode: number;
  subject: Subject;
  /** Rules to be held; null for all. */
  only: readonly string[] | null;
}
