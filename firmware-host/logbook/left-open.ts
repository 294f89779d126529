/** What to tell a person about a run whose process ended before the run did. */
import { type CutShort, lapWords } from '../run/going-on';
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

/** Runs that never came to an end, newest first, each with where it stood; those of process `own` are not left, but at work. */
export function runsLeftOpen(
  logbook: Logbook,
  alive: (process: number) => boolean = processAlive,
  own: number = process.pid,
): LeftOpen[] {
  return logbook
    .openRuns()
    .filter((run) => run.process !== own)
    .map((run) => {
      const seen = logbook.lastCheckpoint(run.id);
      const stillRunning = alive(run.process);
      return { run, seen, stillRunning, words: standingWords(run, seen, stillRunning) };
    });
}

/** A run that was cut short and can be gone on with. */
export interface Interrupted extends CutShort {
  /** What it was, where on the path it stopped and where the lap was then. */
  words: string;
}

/** The latest run of this very program that was cut short on the way, if nobody is still at it: it can be gone on with. */
export function interruptedRun(
  logbook: Logbook,
  program: { text: string; virtual: boolean },
  alive: (process: number) => boolean = processAlive,
  own: number = process.pid,
): Interrupted | null {
  for (const { run, seen, stillRunning, words } of runsLeftOpen(logbook, alive, own)) {
    // What was walked in the air took nothing off: it is simply begun anew.
    if (stillRunning || seen === null || run.air || run.virtual !== program.virtual || run.programText !== program.text)
      continue;
    // At turn 0 the walk had begun as well; at the last turn it is shown, so that nobody walks it anew unawares.
    return { runId: run.id, turnsWalked: seen.turnsWalked, lift: seen.lift, mark: seen.mark, words };
  }
  return null;
}

/** Once another walk begins, what was cut short before cannot be gone on with: axes, lap and glass are no longer as they were. */
export function giveUpLeftOpen(logbook: Logbook, virtual: boolean, but: string): void {
  for (const { run, stillRunning } of runsLeftOpen(logbook))
    if (!stillRunning && run.virtual === virtual && run.id !== but) logbook.giveUpRun(run.id);
}

/** One sentence: what, where on the path, where the lap was. */
export function standingWords(run: RunRow, seen: Checkpoint | null, stillRunning: boolean): string {
  const what = `${run.virtual ? 'Virtual stand: ' : ''}"${run.title}"${run.air ? ', an air run,' : ''}`;
  const verb = stillRunning ? 'is still running in another window, last seen' : 'stopped';
  if (seen === null)
    return `${what} ${stillRunning ? 'is starting in another window' : 'ended before the first turn began'}.`;
  const place = `at turn ${seen.turnsWalked.toFixed(2)} of ${run.plannedTurns}`;
  return `${what} ${verb} ${place}, lap ${lapWords(seen.lift)}.`;
}
