/** The suite for a person with a board on a table, on the core in WebAssembly: pretended wires, hands and instruments. */
import { describe, expect, test } from 'vitest';
import { readPins } from '../../firmware-host/controller/pin-table';
import { CASES } from '../wire/conformance';
import type { Case } from '../wire/conformance/port';
import { virtualPort } from '../wire/conformance/virtual-port';
import { bareBoard } from './bare-port';
import { Interrupted, LineGone } from './bench';
import { faulty } from './faulty-board';
import { READINGS } from './readings';
import { Report, type Row } from './report';
import { classOf, rowsOf, Session } from './session';
import { Table, type TableOptions, willing } from './table';

const SUBJECT = {
  board: 'virtual board',
  firmware: '',
  port: 'pretended',
  imageHash: '00000000',
  person: '',
  begun: '2026-01-02 03:04',
  version: '0',
};

function held(cases: readonly Case[], options: Partial<TableOptions> = {}) {
  let kept = '';
  const table = new Table({ board: virtualPort, pins: 'reference', answers: willing, ...options });
  const report = new Report({ ...SUBJECT }, rowsOf(cases), (text) => {
    kept = text;
  });
  new Session(table, bareBoard(3, readPins())!, cases, report).run();
  const rowOf = (rule: string): Row => report.rows.find((row) => row.rule.startsWith(rule))!;
  return { table, report, kept, rowOf };
}

const named = (...rules: string[]): Case[] => {
  const found = CASES.filter(({ rule }) => rules.some((one) => rule.startsWith(one)));
  expect(found.length).toBe(rules.length);
  return found;
};

const NO_TRIP = 'a drive fault with the drives off is no stop';
const GUARD = 'guard: eases';
const WALKS = 'in motion the drives stay on';

test('every case but those of single steps and ticks passes over a line with latency, by hands that do as told', () => {
  const { report, kept } = held(CASES, { latencySeconds: 0.004 });
  const of = (wanted: string): number => CASES.filter((one) => classOf(one) === wanted).length;
  expect(report.rows.filter(({ why }) => why !== '')).toEqual([]);
  expect([report.count('passed', 'wire'), report.count('passed', 'hands')]).toEqual([of('wire'), of('hands')]);
  expect([of('wire'), of('hands'), of('emulation')]).toEqual([71, 19, 6]);
  expect(report.count('not checked on a board')).toBe(6);
  expect(report.count('not done')).toBe(READINGS.length);
  expect(report.complete).toBe(true);
  expect(kept).toContain('**No safety function was tested.**');
  expect(kept).toContain('| in all | 90 | 0 | 10 | 0 | 6 |');
  expect(kept).toMatch(/\| 5 \| a silent host: .* \| passed \| silent 3\d\d ms after the last sign of life/);
  expect(kept).toMatch(/\| an ease stays on the path .* \| passed \| \d+ path ticks .*; not seen: STEP \|/);
});

describe('a board or a line that breaks a rule', () => {
  test('no refusal comes through: the case fails, the terminal and the report say so, the others go on', () => {
    const board = () => faulty(virtualPort(), (frame) => (frame.name === 'refused' ? null : frame));
    const { report, kept, rowOf, table } = held(named('fewer than 20 ticks', 'a dwell is walked'), { board });
    expect(rowOf('fewer than 20 ticks').result).toBe('failed');
    expect(rowOf('a dwell is walked').result).toBe('passed');
    expect(report.count('failed')).toBe(1);
    expect(table.shown).toContain('  failed      1: fewer than 20 ticks are refused\n');
    expect(kept).toContain('## Failed');
    expect(kept).toContain('- Section 1: fewer than 20 ticks are refused. What was seen: ');
  });

  test('a count that stands still', () => {
    const board = () =>
      faulty(virtualPort(), (frame) => (frame.name === 'status' ? { ...frame, droopTicks: 0 } : frame));
    const { rowOf } = held(named('a queue that runs short makes', 'a target of 1 to 3'), { board });
    expect(rowOf('a queue that runs short').result).toBe('failed');
    expect(rowOf('a target of 1 to 3').result).toBe('passed');
  });

  test('a board that goes dumb ends the session in words', () => {
    let dumb = false;
    const board = () => faulty(virtualPort(), (frame) => (dumb ? null : frame));
    const { report, table } = held(named('a dwell is walked', 'a target of 1 to 3', WALKS), {
      board,
      shows(words) {
        if (words.includes('passed')) dumb = true;
      },
    });
    expect(report.complete).toBe(false);
    expect([report.count('passed'), report.count('not reached', 'wire')]).toEqual([1, 2]);
    expect(report.text()).toContain('The board does not answer any more');
    expect(table.shown).toContain('It eases by itself when it no longer hears this computer');
  });

  test('a wire that was not moved: the case fails and says which, and may be repeated', () => {
    let ignored = false;
    const { rowOf, table } = held(named(NO_TRIP), {
      obeys(words) {
        if (ignored || !words.includes('A10 (driveFault): take')) return true;
        ignored = true;
        return false;
      },
      answers: (words, before) => (words.includes('Type again') ? 'again' : willing(words, before)),
    });
    expect(table.shown).toContain('A10 (driveFault) reads released: nothing should be joined to it');
    expect(rowOf(NO_TRIP)).toMatchObject({ result: 'passed', remarks: ['attempt 2'] });
  });

  test('a wire that was fitted wrong is named before anything begins', () => {
    const { table, report } = held(named(NO_TRIP), {
      obeys: (words) => !words.includes('Fit these wires'),
      shows(words, { bench }) {
        if (words.includes('Fit these wires')) bench.obey(words.replace('A9 (guard) to GND', ''));
        if (words.includes('A9 (guard) reads')) bench.obey('    A9 (guard) to GND');
      },
    });
    expect(table.shown).toContain('A9 (guard) reads asserted: it should be joined to GND');
    expect(report.complete).toBe(true);
  });
});

describe('the person', () => {
  test('leaves out what they like: the report says not done', () => {
    const { report, kept } = held(named(NO_TRIP, GUARD, 'a dwell is walked'), {
      answers: (words) => (words.includes('leave it out') ? 'no' : /press enter/i.test(words) ? '' : undefined),
    });
    expect([report.count('passed'), report.count('failed'), report.count('not done')]).toEqual([1, 0, 12]);
    expect(kept).toContain(`| 5 | ${NO_TRIP} | not done |`);
  });

  test('leaves one out while a wire is waited for', () => {
    const { rowOf } = held(named(NO_TRIP, GUARD), {
      obeys: (words) => !words.includes('A9 (guard): take'),
      answers: (words, before) => (words.includes('A9 (guard): take') ? 'no' : willing(words, before)),
    });
    expect([rowOf(GUARD).result, rowOf(NO_TRIP).result]).toEqual(['not done', 'passed']);
  });

  test('ends it in the middle of a walk: at rest, drives off, and the report as far as it got', () => {
    const { report, kept, table } = held(named('a dwell is walked', GUARD), {
      obeys: (words) => !words.includes('A9 (guard): take'),
      shows(words, at) {
        if (words.includes('A9 (guard): take')) at.trouble = { error: new Interrupted(), lasts: false };
      },
    });
    expect(table.bench.board.pins!.drivesOn()).toBe(false);
    expect(table.shown).toContain('The drives were asked off');
    expect(report.complete).toBe(false);
    expect(kept).toContain('| ended | The person ended it. |');
    expect(kept).toMatch(/\| 5 \| guard: .* \| not reached \|/);
    expect(kept).toMatch(/\| 1 \| a dwell is walked .* \| passed \|/);
  });

  test('pulls the cable: the report as far as it got, and what the board does alone', () => {
    const words = 'The port is gone. Was the cable pulled?';
    const { kept, table } = held(named('a dwell is walked', WALKS), {
      shows(shown, at) {
        if (shown.includes('passed')) at.trouble = { error: new LineGone(words), lasts: true };
      },
    });
    expect(kept).toContain(`| ended | ${words} |`);
    expect(kept).toMatch(/\| 4 \| in motion .* \| not reached \|/);
    expect(table.shown).toContain('take its power away before you touch wires');
  });

  test('presses the button of a board whose port does not reset it', () => {
    const { rowOf, table } = held(named('a boot comes up still'), { resets: false });
    expect(table.shown).toContain('press the RESET button');
    expect(rowOf('a boot comes up still').result).toBe('passed');
  });

  test('reads instruments: in numbers, held against the limit, said again where it is no number', () => {
    const typed: Record<string, string[]> = {
      us: ['twenty', '20,4'],
      Hz: ['20001'],
      pulses: ['', '10001'],
      ms: ['200.3'],
    };
    const { report, table } = held([], {
      answers(words) {
        if (/Arm the instrument|to begin|when they are fitted|to go on/.test(words)) return '';
        const unit = /in (\w+)\?/.exec(words)?.[1];
        if (unit === undefined) return words.includes('no number') ? '20.4' : undefined;
        return typed[unit]!.length > 1 ? typed[unit]!.shift() : typed[unit]![0];
      },
    });
    expect(table.shown).toContain('Probe D22 (step.turntable) and D25 (step.lapTurn).');
    expect(table.shown).toContain('That is no number.');
    const results = Object.fromEntries(report.rows.map(({ rule, result, remarks }) => [rule, [result, remarks[0]]]));
    expect(results).toMatchObject({
      'STEP is high for at least 20 us at 20,000 steps a second (WIRING)': ['passed', '20.4 us'],
      'axes that step in the same tick rise within 6 us of each other': ['failed', '20.4 us'],
      'a walk of 10000 steps makes 10000 pulses': ['failed', '10001 pulses'],
      'no STEP comes before the drives were enabled for the time that open asked for (200 ms)': ['passed', '200.3 ms'],
      'after halt opened, no STEP rises later than a tick (25 us)': ['passed', '20.4 us'],
    });
    expect(report.count('not reached')).toBe(0);
  });
});
