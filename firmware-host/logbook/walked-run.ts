/** A run in the logbook as learning needs it: what was walked, how far and for how long. */
import type { WalkedRun } from '../../planner/learn/learn-run';
import type { Program } from '../../planner/program/types';
import type { Stand } from '../../planner/stand/types';
import type { Logbook, RunRow } from './logbook';

/** Turns walked, as it came to or as it was last seen; null where it never was seen on the way. */
export function turnsWalkedIn(book: Logbook, row: RunRow): number | null {
  return row.report?.turnsWalked ?? book.lastCheckpoint(row.id)?.turnsWalked ?? null;
}

/** `program` and `stand` are read anew from what the run was run with. */
export function walkedRun(book: Logbook, row: RunRow, program: Program, stand: Stand): WalkedRun {
  return {
    id: row.id,
    program,
    stand,
    turns: turnsWalkedIn(book, row),
    minutes: row.report === null ? null : row.report.durationSeconds / 60,
    virtual: row.virtual,
  };
}
