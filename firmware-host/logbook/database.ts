/**
 * Opens the logbook's file: SQLite in write-ahead mode with synchronous FULL, so that a row is on the disc before the call that
 * wrote it returns, and a killed process or a cut mains lead costs at most the row being written. This is the only module that
 * knows which SQLite is used.
 */
import { mkdirSync, statSync } from 'node:fs';
import { homedir } from 'node:os';
import { dirname, join, resolve } from 'node:path';
import Libsql from 'libsql';
import { MIGRATIONS } from './schema';

export type Database = InstanceType<typeof Libsql>;

/** Marks a file as a logbook of this program ("WTLB"), so that no other database is ever written into. */
const APPLICATION_ID = 0x57544c42;
const BUSY_MS = 5000;

/** Why the logbook cannot be used, in a person's words. `input`: another file would do; `machine`: disc or rights. */
export class LogbookError extends Error {
  constructor(
    readonly fault: 'input' | 'machine',
    message: string,
  ) {
    super(message);
    this.name = 'LogbookError';
  }
}

/** $WHOLETURN_HOME/logbook.db, or ~/.wholeturn/logbook.db. */
export function defaultLogbookFile(environment: NodeJS.ProcessEnv = process.env): string {
  return join(environment.WHOLETURN_HOME ?? join(homedir(), '.wholeturn'), 'logbook.db');
}

/** Creates folder and file where missing and brings an older logbook up to date. Throws LogbookError. */
export function openDatabase(path: string): Database {
  const file = resolve(path);
  let database: Database | null = null;
  try {
    mkdirSync(dirname(file), { recursive: true });
    if (statSync(file, { throwIfNoEntry: false })?.isDirectory() === true)
      throw new LogbookError('input', `${file} is a folder. Name a file for the logbook, or leave --logbook away.`);
    database = new Libsql(file, { timeout: BUSY_MS });
    setUp(database, file);
    return database;
  } catch (error) {
    database?.close();
    if (error instanceof LogbookError) throw error;
    const words = error instanceof Error ? error.message : String(error);
    if (/not a database|malformed/i.test(words))
      throw new LogbookError(
        'input',
        `${file} is not a logbook (${words}). Nothing was written. Name another file with --logbook, or move this one away.`,
      );
    throw new LogbookError(
      'machine',
      `The logbook ${file} cannot be opened (${words}). Check the folder's rights and the room on the disc; without a ` +
        'logbook nobody would know where a run stood, so nothing is started.',
    );
  }
}

function setUp(database: Database, file: string): void {
  const number = (pragma: string): number => {
    const row = database.prepare(`PRAGMA ${pragma}`).get() as Record<string, number>;
    return row[pragma] ?? 0;
  };
  const tables = database.prepare('SELECT count(*) AS count FROM sqlite_master').get() as { count: number };
  const ours = number('application_id') === APPLICATION_ID;
  if (!ours && tables.count > 0)
    throw new LogbookError(
      'input',
      `${file} is a database of something else. Nothing was written. Name another file with --logbook.`,
    );
  const version = number('user_version');
  if (version > MIGRATIONS.length)
    throw new LogbookError(
      'input',
      `${file} was written by a newer Wholeturn (schema ${version}, this one knows ${MIGRATIONS.length}). Update, or name ` +
        'another file with --logbook.',
    );
  database.prepare('PRAGMA journal_mode = WAL').get();
  database.exec('PRAGMA synchronous = FULL; PRAGMA foreign_keys = ON');
  if (version === MIGRATIONS.length) return;
  // One transaction: a logbook is never found half migrated. A second opener waits here and then finds nothing to do.
  database.exec('BEGIN IMMEDIATE');
  try {
    for (let next = number('user_version'); next < MIGRATIONS.length; next++) database.exec(MIGRATIONS[next]!);
    database.exec(`PRAGMA application_id = ${APPLICATION_ID}; PRAGMA user_version = ${MIGRATIONS.length}`);
    database.exec('COMMIT');
  } catch (error) {
    database.exec('ROLLBACK');
    throw error;
  }
}
