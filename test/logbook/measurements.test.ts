/** Measurements in the logbook, and what learning takes from the rows of a run. */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Libsql from 'libsql';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { type Checkpoint, Logbook } from '../../firmware-host/logbook/logbook';
import { MeasurementBook } from '../../firmware-host/logbook/measurements';
import { MIGRATIONS } from '../../firmware-host/logbook/schema';
import { minutesWorkedIn, turnsWalkedIn } from '../../firmware-host/logbook/walked-run';
import { aCheckpoint, aRun } from './rows';

let folder: string;
let file: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'wholeturn-measurements-'));
  file = join(folder, 'logbook.db');
});
afterEach(() => rmSync(folder, { recursive: true }));

describe('measurements', () => {
  const one = { atMs: 5, glassId: 'glass-300', text: 'wholeturn: 1\n', virtual: true };

  test('are found again after closing and opening, newest first, each marked as what it is', () => {
    let book = MeasurementBook.open(file);
    const first = book.keep(one);
    const second = book.keep({ ...one, atMs: 4, virtual: false });
    book.close();
    book = MeasurementBook.open(file);
    expect(book.latest(10)).toEqual([
      { ...one, id: second, atMs: 4, virtual: false },
      { ...one, id: first },
    ]);
    expect(book.latest(1)).toHaveLength(1);
    expect(book.one(first)).toEqual({ ...one, id: first });
    expect(book.one(77)).toBeNull();
    book.close();
  });

  test('go into a logbook that was kept before there were any, and leave its rows as they were', () => {
    const before = new Libsql(file);
    for (const migration of MIGRATIONS.slice(0, 2)) before.exec(migration);
    before.exec('PRAGMA application_id = 0x57544c42; PRAGMA user_version = 2');
    before.exec(
      "INSERT INTO runs VALUES ('old', 0, 'run', 't', 'f', '', '{}', 's', 3, 9.0, 1, 5, 6, 'Complete', NULL)",
    );
    before.close();
    const book = MeasurementBook.open(file);
    expect(book.keep(one)).toBe(1);
    book.close();
    const logbook = Logbook.open(file);
    expect(logbook.run('old')).toMatchObject({ title: 't', virtual: false, state: 'Complete' });
    logbook.close();
  });
});

describe('of a run', () => {
  const at = (turnsWalked: number, pace: number, change: Partial<Checkpoint> = {}): Checkpoint =>
    aCheckpoint({ turnsWalked, pace, ...change });

  test('work is what was walked at the pace it was walked with; a pause of an hour is none', () => {
    const logbook = Logbook.open(file);
    logbook.beginRun(aRun());
    const hour = 3_600_000;
    logbook.checkpoint('run-1', at(0, 0), at(2, 1), at(4, 1), at(4, 0, { state: 'Held', atMs: 1 }));
    logbook.checkpoint('run-1', at(4, 0, { atMs: hour }), at(6, 0.5), at(8, 0.5), at(8, 0, { state: 'Stopped' }));
    const run = logbook.run('run-1')!;
    // At 2.5 turns a minute: four turns at full pace, four at half.
    expect(minutesWorkedIn(logbook, run, 2.5)).toBeCloseTo(4 / 2.5 + 8 / 2.5, 12);
    expect(turnsWalkedIn(logbook, run)).toBe(8);
    logbook.close();
  });

  test('that never walked nothing is known', () => {
    const logbook = Logbook.open(file);
    logbook.beginRun(aRun());
    expect(minutesWorkedIn(logbook, logbook.run('run-1')!, 2.5)).toBeNull();
    expect(turnsWalkedIn(logbook, logbook.run('run-1')!)).toBeNull();
    logbook.close();
  });
});
