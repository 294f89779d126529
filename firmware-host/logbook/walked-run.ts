/** A run in the logbook as learning needs it: what was walked, how far and for how long. */
import type { WalkedRun } from '../../planner/learn/learn-run';
import type { Program } from '../../planner/program/types';
import type { Stand } from '../../planner/stand/types';
import type { Logbook, RunRow } from './logbook';

/** Turns walked, as it came to or as it was last seen; null where it never was seen on the way. */
export function turnsWalkedIn(book: Logbook, row: RunRow): number | null {
  return row.report?.turnsWalked ?? book.lastCheckpoint(row.id)?.turnsWalked ?? null;
}

/**
 * Minutes of work, from the places that were kept: what was walked at the pace it was walked with. So a pause is no work, however long,
 * and a virtual stand in a hurry has worked as long as iron would. Null where nothing was walked.
 */
export function minutesWorkedIn(book: Logbook, row: RunRow, turntableRpm: number): number | null {
  const places = book.checkpoints(row.id);
  let minutes = 0;
  for (let i = 1; i < places.length; i++) {
    const [from, to] = [places[i - 1]!, places[i]!];
    const turns = to.turnsWalked - from.turnsWalked;
    // At the begin and the end of a stretch it stands: the pace between is that of the faster of the two places.
    const pace = Math.max(from.pace, to.pace);
    if (turns > 0 && pace > 0) minutes += turns / (turntableRpm * pace);
  }
  return minutes > 0 ? minutes : null;
}

/** `program` and `stand` are read anew from what the run was run with. */
export function walkedRun(book: Logbook, row: RunRow, program: Program, stand: Stand): WalkedRun {
  return {
    id: row.id,
    program,
    stand,
    turns: turnsWalkedIn(book, row),
    minutes: minutesWorkedIn(book, row, program.turntableRpm),
    virtual: row.virtual,
  };
}
