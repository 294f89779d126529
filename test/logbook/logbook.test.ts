import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Libsql from 'libsql';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { defaultLogbookFile, LogbookError } from '../../firmware-host/logbook/database';
import { interruptedRun, runsLeftOpen } from '../../firmware-host/logbook/left-open';
import { Logbook } from '../../firmware-host/logbook/logbook';
import { LogbookRecorder } from '../../firmware-host/logbook/recorder';
import type { RunReport } from '../../firmware-host/run/types';
import { aCheckpoint, aRun } from './rows';

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'wholeturn-logbook-'));
});
afterEach(() => rmSync(folder, { recursive: true }));

const REPORT: RunReport = {
  state: 'Complete',
  turnsWalked: 40,
  endSteps: { turntable: 5_785_620, stroke: 0, radial: 7200, lapTurn: 960 },
  travelSteps: { turntable: 5_785_620, stroke: 100, radial: 200, lapTurn: 960 },
  slipSteps: 0,
  worstSlipDegrees: 0,
  underruns: 0,
  droopTicks: 0,
  damagedFrames: 0,
  resentFrames: 0,
  durationSeconds: 961,
  runId: 'run-1',
  air: false,
};

describe('the logbook', () => {
  test('gives back what was written, after closing and opening again', () => {
    const file = join(folder, 'deep', 'er', 'logbook.db');
    let logbook = Logbook.open(file);
    logbook.beginRun(aRun());
    logbook.checkpoint('run-1', aCheckpoint());
    logbook.checkpoint('run-1', aCheckpoint({ turnsWalked: 15, lift: 'up' }));
    logbook.event({ run: 'run-1', virtual: true, atMs: 5, turnsWalked: 15, kind: 'notice', words: 'Paused' });
    logbook.endRun('run-1', 1_700_000_961_000, REPORT);
    logbook.close();

    logbook = Logbook.open(file);
    expect(logbook.run('run-1')).toEqual({
      ...aRun(),
      process: process.pid,
      endedMs: 1_700_000_961_000,
      state: 'Complete',
      report: REPORT,
    });
    expect(logbook.checkpoints('run-1')).toEqual([aCheckpoint(), aCheckpoint({ turnsWalked: 15, lift: 'up' })]);
    expect(logbook.lastCheckpoint('run-1')?.turnsWalked).toBe(15);
    expect(logbook.events(10, 'run-1')).toMatchObject([{ words: 'Paused', virtual: true, turnsWalked: 15 }]);
    expect(logbook.run('nothing')).toBeNull();
    expect(logbook.faults()).toEqual([]);
    logbook.close();
  });

  test('what is virtual is marked in each row of each table', () => {
    const file = join(folder, 'logbook.db');
    const logbook = Logbook.open(file);
    for (const [id, virtual] of [
      ['air', true],
      ['iron', false],
    ] as const) {
      logbook.beginRun(aRun({ id, virtual }));
      logbook.checkpoint(id, aCheckpoint());
      logbook.event({ run: id, virtual, atMs: 1, turnsWalked: null, kind: 'plain', words: 'x' });
    }
    logbook.close();
    const raw = new Libsql(file);
    for (const [table, column] of [
      ['runs', 'id'],
      ['checkpoints', 'run'],
      ['events', 'run'],
    ])
      expect(raw.prepare(`SELECT ${column} AS id, virtual FROM ${table} ORDER BY 1`).all()).toMatchObject([
        { id: 'air', virtual: 1 },
        { id: 'iron', virtual: 0 },
      ]);
    raw.close();
  });

  test('commits reach the disc: write-ahead log, synchronous FULL', () => {
    const file = join(folder, 'logbook.db');
    const logbook = Logbook.open(file);
    const { database } = logbook as unknown as { database: InstanceType<typeof Libsql> };
    expect(database.prepare('PRAGMA journal_mode').get()).toMatchObject({ journal_mode: 'wal' });
    expect(database.prepare('PRAGMA synchronous').get()).toMatchObject({ synchronous: 2 });
    logbook.close();
  });

  test('two can have it open; both see what was kept', () => {
    const file = join(folder, 'logbook.db');
    const one = Logbook.open(file);
    const two = Logbook.open(file);
    one.beginRun(aRun({ id: 'a' }));
    two.beginRun(aRun({ id: 'b', startedMs: 1_700_000_000_001 }));
    expect(one.runs(10).map((run) => run.id)).toEqual(['b', 'a']);
    one.close();
    two.close();
  });

  test('who has read the cautions is kept once', () => {
    const logbook = Logbook.open(join(folder, 'logbook.db'));
    logbook.acknowledgeCautions('Ada', true, 10);
    logbook.acknowledgeCautions('Ada', true, 20);
    logbook.acknowledgeCautions('Ben', true, 15);
    expect(logbook.cautionsAcknowledged()).toEqual(['Ada', 'Ben']);
    logbook.close();
  });

  test('lives in WHOLETURN_HOME, else in the home folder', () => {
    expect(defaultLogbookFile({ WHOLETURN_HOME: '/srv/mirrors' })).toBe('/srv/mirrors/logbook.db');
    expect(defaultLogbookFile({})).toMatch(/[/\\]\.wholeturn[/\\]logbook\.db$/);
  });
});

describe('a run that never came to an end', () => {
  test('is told with its place and where the lap was', () => {
    const logbook = Logbook.open(join(folder, 'logbook.db'));
    logbook.beginRun(aRun());
    logbook.checkpoint('run-1', aCheckpoint());
    // The row carries this process's number; a later start of the program sees it as another one's.
    const { database } = logbook as unknown as { database: InstanceType<typeof Libsql> };
    expect(runsLeftOpen(logbook)).toEqual([]);
    database.exec('UPDATE runs SET process = 1');
    expect(runsLeftOpen(logbook, () => false)).toMatchObject([
      { stillRunning: false, words: 'Virtual stand: "Ease a raised ring" stopped at turn 14.37 of 40, lap down.' },
    ]);
    expect(runsLeftOpen(logbook, () => true)[0]!.words).toMatch(/still running in another window, last seen at turn/);
    logbook.endRun('run-1', 1, REPORT);
    expect(runsLeftOpen(logbook, () => false)).toEqual([]);
    logbook.close();
  });
});

describe('going on with what was cut short', () => {
  test('is offered for the very same program, until another walk begins', () => {
    const logbook = Logbook.open(join(folder, 'logbook.db'));
    const { database } = logbook as unknown as { database: InstanceType<typeof Libsql> };
    logbook.beginRun(aRun());
    logbook.checkpoint('run-1', aCheckpoint());
    database.exec('UPDATE runs SET process = 999999999');
    const same = { text: aRun().programText, virtual: true };
    expect(interruptedRun(logbook, same)).toMatchObject({ runId: 'run-1', turnsWalked: 14.37 });
    expect(interruptedRun(logbook, same)!.words).toMatch(/stopped at turn 14.37 of 40, lap down/);
    expect(interruptedRun(logbook, same, () => true)).toBeNull();
    expect(interruptedRun(logbook, { ...same, text: 'another' })).toBeNull();
    expect(interruptedRun(logbook, { ...same, virtual: false })).toBeNull();

    const { id: _id, startedMs: _started, ...description } = aRun();
    const recorder = new LogbookRecorder(logbook, description, () => 1_700_000_100_000);
    recorder.begin('run-1', 0, false);
    expect(logbook.run('run-1')).toMatchObject({ endedMs: null, process: process.pid });
    database.exec('UPDATE runs SET process = 999999999');
    recorder.begin('run-2', 0, false);
    expect(interruptedRun(logbook, same)).toBeNull();
    expect(logbook.run('run-1')).toMatchObject({ state: 'Aborted', endedMs: aCheckpoint().atMs, report: null });
    logbook.close();
  });
});

test('a run that was stopped in good order is offered too, days later, and one that is complete or has no place is not', () => {
  const logbook = Logbook.open(join(folder, 'logbook.db'));
  const same = { text: aRun().programText, virtual: true };
  expect(interruptedRun(logbook, same)).toBeNull();
  logbook.beginRun(aRun({ id: 'no-place' }));
  logbook.endRun('no-place', 1, { ...REPORT, state: 'Stopped' });
  expect(interruptedRun(logbook, same)).toBeNull();
  logbook.beginRun(aRun());
  logbook.checkpoint('run-1', aCheckpoint({ state: 'Stopped', lift: 'up', doubtTurns: 0 }));
  for (const state of ['Stopped', 'Aborted'] as const) {
    logbook.endRun('run-1', 1, { ...REPORT, state });
    expect(interruptedRun(logbook, same)).toMatchObject({ runId: 'run-1', turnsWalked: 14.37, doubtTurns: 0 });
  }
  // An air run leaves the glass as it is, another virtual one does not; clocks may have been set back in between.
  logbook.beginRun(aRun({ id: 'air', air: true }));
  logbook.beginRun(aRun({ id: 'iron', virtual: false }));
  expect(interruptedRun(logbook, same)).toMatchObject({ runId: 'run-1' });
  logbook.endRun('run-1', 1, { ...REPORT, state: 'Complete' });
  expect(interruptedRun(logbook, same)).toBeNull();
  logbook.endRun('run-1', 1, { ...REPORT, state: 'Stopped' });
  logbook.beginRun(aRun({ id: 'later', startedMs: 1 }));
  expect(interruptedRun(logbook, same)).toBeNull();
  logbook.close();
});

describe('a recorder', () => {
  test('lets places that come in a hurry share a commit, and loses none', () => {
    const file = join(folder, 'logbook.db');
    const logbook = Logbook.open(file);
    const reader = Logbook.open(file);
    let nowMs = 1_700_000_000_000;
    const { id: _id, startedMs: _started, ...description } = aRun();
    const recorder = new LogbookRecorder(logbook, description, () => nowMs);
    recorder.begin('run-1', 0, false);
    const kept: number[] = [];
    for (let number = 0; number < 10; number++) {
      const { atMs: _at, ...seen } = aCheckpoint({ turnsWalked: number + 1 });
      recorder.checkpoint('run-1', seen);
      kept.push(reader.checkpoints('run-1').length);
      nowMs += number < 5 ? 30 : 300;
    }
    // The first at once, those within 200 ms together with the next; from then on each by itself.
    expect(kept).toEqual([1, 1, 1, 1, 1, 1, 7, 8, 9, 10]);
    const { atMs: _at, ...last } = aCheckpoint({ turnsWalked: 11 });
    nowMs -= 290;
    recorder.checkpoint('run-1', last);
    recorder.end('run-1', REPORT);
    expect(reader.checkpoints('run-1').map(({ turnsWalked }) => turnsWalked)).toEqual([
      1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11,
    ]);
    reader.close();
    logbook.close();
  });

  test('keeps what it came to rest at, and the first place on the way, at once', () => {
    const file = join(folder, 'logbook.db');
    const logbook = Logbook.open(file);
    const { id: _id, startedMs: _started, ...description } = aRun();
    const recorder = new LogbookRecorder(logbook, description, () => 1_700_000_000_000);
    recorder.begin('run-1', 0, false);
    const states = ['Execute', 'Execute', 'Execute', 'Suspending', 'Suspended'] as const;
    const kept = states.map((state, number) => {
      const { atMs: _at, ...seen } = aCheckpoint({ state, turnsWalked: number / 100 });
      recorder.checkpoint('run-1', seen);
      return logbook.checkpoints('run-1').length;
    });
    expect(kept).toEqual([1, 2, 2, 4, 5]);
    logbook.close();
  });

  test('keeps what a full disc did not take, tells each time, and writes it in order once there is room', () => {
    const logbook = Logbook.open(join(folder, 'logbook.db'));
    let full = false;
    const disc = new Proxy(logbook, {
      get(target, name) {
        if (full && name === 'event') throw new Error('database or disk is full');
        const member = Reflect.get(target, name) as unknown;
        return typeof member === 'function' ? member.bind(target) : member;
      },
    });
    const { id: _id, startedMs: _started, ...description } = aRun();
    const recorder = new LogbookRecorder(disc, description, () => 1_700_000_000_000);
    recorder.begin('run-1', 0, false);
    full = true;
    expect(() => recorder.event('run-1', 'plain', 1, 'one')).toThrow(/full/);
    expect(() => recorder.event('run-1', 'stop', 2, 'two')).toThrow(/full/);
    expect(logbook.events(10)).toEqual([]);
    full = false;
    recorder.flush();
    expect(logbook.events(10).map(({ words }) => words)).toEqual(['one', 'two']);
    logbook.close();
  });
});

describe('what is not a logbook is refused and left alone', () => {
  const refused = (file: string): LogbookError => {
    try {
      Logbook.open(file).close();
    } catch (error) {
      if (error instanceof LogbookError) return error;
      throw error;
    }
    throw new Error('was opened');
  };

  test('a folder', () => {
    expect(refused(folder)).toMatchObject({ fault: 'input', message: expect.stringContaining('is a folder') });
  });

  test('a file of something else', () => {
    const file = join(folder, 'notes.txt');
    writeFileSync(file, 'Figuring notes, not a database. '.repeat(200));
    expect(refused(file)).toMatchObject({ fault: 'input', message: expect.stringContaining('not a logbook') });
  });

  test('a database of something else', () => {
    const file = join(folder, 'other.db');
    const other = new Libsql(file);
    other.exec('CREATE TABLE orders (id INTEGER)');
    other.close();
    expect(refused(file)).toMatchObject({ fault: 'input', message: expect.stringContaining('something else') });
  });

  test('one written by a newer version', () => {
    const file = join(folder, 'newer.db');
    Logbook.open(file).close();
    const raw = new Libsql(file);
    raw.exec('PRAGMA user_version = 99');
    raw.close();
    expect(refused(file)).toMatchObject({ fault: 'input', message: expect.stringContaining('newer Wholeturn') });
  });

  test('a place where nothing can be written', () => {
    mkdirSync(join(folder, 'x'));
    writeFileSync(join(folder, 'x', 'file'), '');
    expect(refused(join(folder, 'x', 'file', 'logbook.db'))).toMatchObject({ fault: 'machine' });
  });
});
