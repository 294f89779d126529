/**
 * What happened, kept: runs, the places they were seen at, and events in words. Every method that writes returns only once the
 * row is on the disc. Wall times are milliseconds since 1970 and come from the caller.
 */
import type { KeptMark } from '../run/stream-mark';
import type { AxisCounts, RunReport, RunState } from '../run/types';
import type { LiftState } from '../stand/stand-link';
import { type Database, openDatabase } from './database';

export interface NewRun {
  id: string;
  virtual: boolean;
  kind: 'rehearsal' | 'run';
  /** The lap stays up all the way: nothing is taken off the glass. */
  air: boolean;
  title: string;
  programFile: string;
  /** The program as the person wrote it, so that it can be run again. */
  programText: string;
  /** Glass, lap and slurry as they were looked up, for learning. */
  recipe: unknown;
  /** What the stand calls itself. */
  stand: string;
  plannedTurns: number;
  plannedSeconds: number;
  startedMs: number;
}

export interface RunRow extends NewRun {
  process: number;
  endedMs: number | null;
  state: RunState;
  report: RunReport | null;
}

/** Where a run was seen. `turnsWalked` and `steps` belong together to the step. */
export interface Checkpoint {
  atMs: number;
  state: RunState;
  turnsWalked: number;
  steps: AxisCounts;
  pace: number;
  lift: LiftState;
  bootId: number;
  /** How a later host reads the controller's count of segments; null where nothing was queued. */
  mark: KeptMark | null;
  /** Where it rests: how much further it may have come, turns, 0 where the place is certain. Null while it walks. */
  doubtTurns: number | null;
}

export type EventKind = 'plain' | 'notice' | 'stop';

export interface NewEvent {
  run: string | null;
  virtual: boolean;
  atMs: number;
  turnsWalked: number | null;
  kind: EventKind;
  words: string;
}

export interface EventRow extends NewEvent {
  id: number;
}

type Row = Record<string, unknown>;

export class Logbook {
  private constructor(
    private readonly database: Database,
    readonly file: string,
  ) {}

  /** Throws LogbookError. */
  static open(file: string): Logbook {
    return new Logbook(openDatabase(file), file);
  }

  beginRun(run: NewRun): void {
    this.database
      .prepare(
        `INSERT INTO runs (id, virtual, kind, air, title, program_file, program_text, recipe, stand, planned_turns,
         planned_seconds, process, started_ms, state) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, 'Idle')`,
      )
      .run(
        run.id,
        Number(run.virtual),
        run.kind,
        Number(run.air),
        run.title,
        run.programFile,
        run.programText,
        JSON.stringify(run.recipe),
        run.stand,
        run.plannedTurns,
        run.plannedSeconds,
        process.pid,
        run.startedMs,
      );
  }

  /** Several places of the same run share one commit. */
  checkpoint(run: string, ...places: readonly Checkpoint[]): void {
    const insert = this.database.prepare(
      `INSERT INTO checkpoints (run, number, virtual, at_ms, state, turns_walked, steps, pace, lift, boot_id, mark, doubt_turns)
       SELECT id, (SELECT coalesce(max(number) + 1, 0) FROM checkpoints WHERE run = id), virtual, ?, ?, ?, ?, ?, ?, ?, ?, ?
       FROM runs WHERE id = ?`,
    );
    this.database.transaction(() => {
      for (const seen of places)
        insert.run(
          seen.atMs,
          seen.state,
          seen.turnsWalked,
          JSON.stringify(seen.steps),
          seen.pace,
          seen.lift,
          seen.bootId,
          seen.mark && JSON.stringify(seen.mark),
          seen.doubtTurns,
          run,
        );
    })();
  }

  event(event: NewEvent): void {
    this.database
      .prepare('INSERT INTO events (run, virtual, at_ms, turns_walked, kind, words) VALUES (?, ?, ?, ?, ?, ?)')
      .run(event.run, Number(event.virtual), event.atMs, event.turnsWalked, event.kind, event.words);
  }

  /** A stopped run is gone on with, perhaps by another process. */
  reopenRun(run: string): void {
    this.database
      .prepare("UPDATE runs SET ended_ms = NULL, report = NULL, state = 'Idle', process = ? WHERE id = ?")
      .run(process.pid, run);
  }

  /** Closes a run with what it came to. */
  endRun(run: string, endedMs: number, report: RunReport): void {
    this.database
      .prepare('UPDATE runs SET ended_ms = ?, state = ?, report = ? WHERE id = ?')
      .run(endedMs, report.state, JSON.stringify(report), run);
  }

  run(id: string): RunRow | null {
    const row = this.database.prepare('SELECT * FROM runs WHERE id = ?').get(id) as Row | undefined;
    return row === undefined ? null : runOf(row);
  }

  /** The latest runs, newest first. */
  runs(limit: number): RunRow[] {
    const rows = this.database.prepare('SELECT * FROM runs ORDER BY started_ms DESC, id DESC LIMIT ?').all(limit);
    return (rows as Row[]).map(runOf);
  }

  /** Runs that were never closed: their process was killed, or is still at it. */
  openRuns(): RunRow[] {
    const rows = this.database.prepare('SELECT * FROM runs WHERE ended_ms IS NULL ORDER BY started_ms DESC').all();
    return (rows as Row[]).map(runOf);
  }

  /** The run that last began on the glass: what was cut short before it cannot be gone on with any more. */
  lastOnGlass(virtual: boolean): RunRow | null {
    const row = this.database
      .prepare('SELECT * FROM runs WHERE virtual = ? AND air = 0 ORDER BY rowid DESC LIMIT 1')
      .get(Number(virtual)) as Row | undefined;
    return row === undefined ? null : runOf(row);
  }

  /** Gives up a run that was cut short: it ended where it was last seen, without a report. */
  giveUpRun(run: string): void {
    this.database
      .prepare(
        `UPDATE runs SET state = 'Aborted', ended_ms =
         coalesce((SELECT max(at_ms) FROM checkpoints WHERE run = id), started_ms) WHERE id = ? AND ended_ms IS NULL`,
      )
      .run(run);
  }

  lastCheckpoint(run: string): Checkpoint | null {
    const row = this.database
      .prepare('SELECT * FROM checkpoints WHERE run = ? ORDER BY number DESC LIMIT 1')
      .get(run) as Row | undefined;
    return row === undefined ? null : checkpointOf(row);
  }

  checkpoints(run: string): Checkpoint[] {
    const rows = this.database.prepare('SELECT * FROM checkpoints WHERE run = ? ORDER BY number').all(run);
    return (rows as Row[]).map(checkpointOf);
  }

  /** The last events, oldest of them first; of one run, or of everything. */
  events(limit: number, run?: string): EventRow[] {
    const rows =
      run === undefined
        ? this.database.prepare('SELECT * FROM events ORDER BY id DESC LIMIT ?').all(limit)
        : this.database.prepare('SELECT * FROM events WHERE run = ? ORDER BY id DESC LIMIT ?').all(run, limit);
    return (rows as Row[]).map(eventOf).reverse();
  }

  acknowledgeCautions(name: string, virtual: boolean, atMs: number): void {
    this.database
      .prepare('INSERT OR IGNORE INTO cautions (name, virtual, at_ms) VALUES (?, ?, ?)')
      .run(name, Number(virtual), atMs);
  }

  cautionsAcknowledged(): string[] {
    const rows = this.database.prepare('SELECT name FROM cautions ORDER BY at_ms, name').all() as { name: string }[];
    return rows.map((row) => row.name);
  }

  /** What the database itself finds wrong with its file; empty when all is well. */
  faults(): string[] {
    const rows = this.database.prepare('PRAGMA integrity_check').all() as { integrity_check: string }[];
    return rows.map((row) => row.integrity_check).filter((words) => words !== 'ok');
  }

  close(): void {
    this.database.close();
  }
}

function runOf(row: Row): RunRow {
  return {
    id: row.id as string,
    virtual: row.virtual === 1,
    kind: row.kind as NewRun['kind'],
    air: row.air === 1,
    title: row.title as string,
    programFile: row.program_file as string,
    programText: row.program_text as string,
    recipe: JSON.parse(row.recipe as string),
    stand: row.stand as string,
    plannedTurns: row.planned_turns as number,
    plannedSeconds: row.planned_seconds as number,
    process: row.process as number,
    startedMs: row.started_ms as number,
    endedMs: row.ended_ms as number | null,
    state: row.state as RunState,
    report: row.report === null ? null : (JSON.parse(row.report as string) as RunReport),
  };
}

function checkpointOf(row: Row): Checkpoint {
  return {
    atMs: row.at_ms as number,
    state: row.state as RunState,
    turnsWalked: row.turns_walked as number,
    steps: JSON.parse(row.steps as string) as AxisCounts,
    pace: row.pace as number,
    lift: row.lift as LiftState,
    bootId: row.boot_id as number,
    mark: row.mark === null ? null : (JSON.parse(row.mark as string) as KeptMark),
    doubtTurns: row.doubt_turns as number | null,
  };
}

function eventOf(row: Row): EventRow {
  return {
    id: row.id as number,
    run: row.run as string | null,
    virtual: row.virtual === 1,
    atMs: row.at_ms as number,
    turnsWalked: row.turns_walked as number | null,
    kind: row.kind as EventKind,
    words: row.words as string,
  };
}
