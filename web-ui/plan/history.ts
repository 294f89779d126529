/** Undo and redo. A drag or a field being typed in is one gesture: however often it changes things, one undo takes it back. */
export interface History<T> {
  past: readonly T[];
  now: T;
  future: readonly T[];
  /** The gesture that made `now`, while it may go on. */
  gesture: string | null;
}

const MOST = 200;

export function begin<T>(now: T): History<T> {
  return { past: [], now, future: [], gesture: null };
}

export function record<T>(history: History<T>, next: T, gesture: string | null = null): History<T> {
  if (next === history.now) return history;
  if (gesture !== null && gesture === history.gesture) return { ...history, now: next, future: [] };
  return { past: [...history.past, history.now].slice(-MOST), now: next, future: [], gesture };
}

/** The next change is one of its own, even of the same field. */
export function settle<T>(history: History<T>): History<T> {
  return history.gesture === null ? history : { ...history, gesture: null };
}

export function undo<T>(history: History<T>): History<T> {
  const now = history.past[history.past.length - 1];
  if (now === undefined) return history;
  return { past: history.past.slice(0, -1), now, future: [history.now, ...history.future], gesture: null };
}

export function redo<T>(history: History<T>): History<T> {
  const now = history.future[0];
  if (now === undefined) return history;
  return { past: [...history.past, history.now], now, future: history.future.slice(1), gesture: null };
}
