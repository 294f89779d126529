/** What to tell a person about a run whose process ended before the run did. */
import type { Checkpoint, Logbook, RunRow } from './logbook';

export interface LeftOpen {
  run: RunRow;
  seen: Checkpoint | null;
  /** Its process is still there (this one's own runs are not listed). */
  stillRunning: boolean;
  words: string;
}

/** Whether a process of that number exists on this machine. */
export function processAlive(id: number): boolean {
  try {
    process.kill(id, 0);
    return true;
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === 'EPERM';
  }
}

/** Runs that never came to an end, newest first, each with where it stood. */
export function runsLeftOpen(logbook: Logbook, alive: (process: number) => boolean = processAlive): LeftOpen[] {
  return logbook
    .openRuns()
    .filter((run) => run.process !== process.pid)
    .map((run) => {
      const seen = logbook.lastCheckpoint(run.id);
      const stillRunning = alive(run.process);
      return { run, seen, stillRunning, words: standingWords(run, seen, stillRunning) };
    });
}

/** One sentence: what, where on the path, where the lap was. */
export function standingWords(run: RunRow, seen: Checkpoint | null, stillRunning: boolean): string {
  const what = `${run.virtual ? 'Virtual stand: ' : ''}"${run.title}"`;
  const verb = stillRunning ? 'is still running in another window, last seen' : 'stopped';
  if (seen === null)
    return `${what} ${stillRunning ? 'is starting in another window' : 'ended before the first turn began'}.`;
  const place = `at turn ${seen.turnsWalked.toFixed(2)} of ${run.plannedTurns}`;
  return `${what} ${verb} ${place}, ${liftWords(seen)}.`;
}

function liftWords(seen: Checkpoint): string {
  switch (seen.lift) {
    case 'up':
      return 'lap up';
    case 'down':
      return 'lap down';
    case 'rising':
      return 'lap on its way up';
    case 'falling':
      return 'lap on its way down';
    case 'unknown':
      return 'nobody saw where the lap was';
  }
}
