/** The suite for a person with a board on a table, on the core in WebAssembly: pretended wires, hands and instruments. */
import { expect, test } from 'vitest';
import { readPins } from '../../firmware-host/controller/pin-table';
import { CASES } from '../wire/conformance';
import { virtualPort } from '../wire/conformance/virtual-port';
import { bareBoard } from './bare-port';
import { Report, type Subject } from './report';
import { rowsOf, Session } from './session';
import { Table, type TableOptions } from './table';

const SUBJECT: Subject = {
  board: 'virtual board',
  firmware: '',
  port: 'pretended',
  imageHash: '00000000',
  person: '',
  begun: '2026-01-02 03:04',
  version: '0',
};

/** A person who does all they are told, and has no instrument. */
function willing(words: string, before: string): string | undefined {
  if (/press Enter to begin/i.test(words) && before.split('\n').slice(-3).join().includes('Expected: ')) return 'no';
  return /press enter/i.test(words) ? '' : undefined;
}

function held(options: Partial<TableOptions> = {}, cases = CASES) {
  let kept = '';
  const table = new Table({ board: virtualPort, pins: 'reference', answers: willing, ...options });
  const report = new Report({ ...SUBJECT }, rowsOf(cases), (text) => {
    kept = text;
  });
  new Session(table, bareBoard(3, readPins())!, cases, report).run();
  return { table, report, kept };
}

test('all', () => {
  const { report, table } = held({ latencySeconds: Number(process.env.LAT ?? 0) });
  console.log(table.shown);
  console.log(report.text());
  expect(report.count('failed')).toBe(0);
});
