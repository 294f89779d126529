/** What to tell a person about a run that stopped on its way, be it that its process ended before it did. */
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

/**
 * The run that last was on the glass, where it is of this very program, stopped on its way and nobody is still at it: it can be gone on
 * with. It may have been stopped in good order before its process ended, perhaps days ago.
 */
export function interruptedRun(
  logbook: Logbook,
  program: { text: string; virtual: boolean },
  alive: (process: number) => boolean = processAlive,
  own: number = process.pid,
): Interrupted | null {
  const run = logbook.lastOnGlass(program.virtual);
  if (run === null || run.programText !== program.text) return null;
  const seen = logbook.lastCheckpoint(run.id);
  if (seen === null) return null;
  if (run.endedMs === null) {
    if (run.process === own || alive(run.process)) return null;
  } else if (run.report === null || run.report.state === 'Complete') return null;
  // At turn 0 the walk had begun as well; at the last turn it is shown, so that nobody walks it anew unawares.
  const { turnsWalked, lift, mark, doubtTurns } = seen;
  return { runId: run.id, turnsWalked, lift, mark, doubtTurns, words: standingWords(run, seen, false) };
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
