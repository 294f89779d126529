/**
 * What the fields come to: a measurement, and what is wrong with them, each complaint at its field. One slip costs no more than the
 * take it stands in. What a measurement must be like is known in one place, the reader of its file; here its complaints are only
 * brought back to the fields. Pure.
 */
import { readMeasurement } from '../../planner/figure/read-measurement';
import type { Measurement } from '../../planner/figure/types';
import type { Complaint } from '../../planner/program/types';
import type { Shelf } from '../../planner/shelf/types';
import { type ShownUnit, understood } from '../plan/number-entry';
import {
  ANGLE,
  CELSIUS,
  EDGE,
  type FileDraft,
  HOURS,
  type MeasureDraft,
  MINUTES,
  READING,
  type ReadingsDraft,
  type TakeDraft,
} from './draft';
import { measurementText } from './write';

export interface FieldComplaint {
  field: string;
  message: string;
}

export interface Judged {
  complaints: FieldComplaint[];
  /** Of the takes that are complete and without complaint; null where there is none, or where something else is wrong. */
  measurement: Measurement | null;
  /** Numbers of the takes it is made of. */
  counted: readonly number[];
  /** Takes that were begun and are not complete. */
  begun: readonly { id: number; missing: number }[];
}

export const windowField = (index: number): string => `window ${index}`;
export const edgeField = (index: number, side: 'from' | 'to' | 'aimedAt'): string => `window ${index} ${side}`;
export const readingField = (id: number, index: number): string => `take ${id} reading ${index}`;
export const takeField = (id: number, key: 'diameter' | 'markOnTester' | 'at'): string => `take ${id} ${key}`;

const NO_NUMBER = 'This is not a number.';
const LEAST_WINDOWS = 3;

export function judge(draft: MeasureDraft, shelf: Shelf): Judged {
  return draft.kind === 'file' ? judgeFile(draft, shelf) : judgeReadings(draft, shelf);
}

/** Each complaint of a file with the line it speaks of. */
function judgeFile(draft: FileDraft, shelf: Shelf): Judged {
  const { measurement, complaints } = readMeasurement(draft.text, draft.name, shelf, (name) => {
    return Object.hasOwn(draft.tables, name) ? draft.tables[name]! : null;
  });
  return { complaints: complaints.map(lineComplaint), measurement, counted: [], begun: [] };
}

export function lineComplaint({ file, line, field, message }: Complaint): FieldComplaint {
  return { field: 'file', message: `${file}, line ${line}${field === '' ? '' : `, ${field}`}: ${message}` };
}

function judgeReadings(draft: ReadingsDraft, shelf: Shelf): Judged {
  const complaints = fieldComplaints(draft);
  const begun: { id: number; missing: number }[] = [];
  let counted: TakeDraft[] = [];
  for (const take of draft.takes) {
    const missing = take.readings.filter((text) => text.trim() === '').length;
    if (missing > 0 && missing < take.readings.length) begun.push({ id: take.id, missing });
    const slips = readingComplaints(take, draft);
    complaints.push(...slips);
    if (missing === 0 && slips.length === 0) counted.push(take);
  }
  // Wrong edges or a missing source leave nothing to reduce; the mask is looked at even before there are readings.
  const stops = complaints.some(({ field }) => !field.startsWith('take '));
  if (stops || draft.source === null) return { complaints, measurement: null, counted: [], begun };
  for (;;) {
    const takes = counted.length > 0 ? counted : [placeholder(draft)];
    const found = readMeasurement(measurementText(draft, shelf, takes), '', shelf, () => null);
    if (found.measurement !== null) {
      const measurement = counted.length > 0 ? found.measurement : null;
      return { complaints, measurement, counted: counted.map(({ id }) => id), begun };
    }
    const said = found.complaints.map((complaint) => ({ ...atField(complaint, draft, shelf, takes) }));
    complaints.push(...(counted.length > 0 ? said : said.filter(({ field }) => !field.startsWith('take '))));
    // A take with something to mend is left out, and the others are read without it.
    const mended = counted.filter(({ id }) => !said.some(({ field }) => field.startsWith(`take ${id} `)));
    if (mended.length === counted.length || mended.length === 0)
      return { complaints, measurement: null, counted: [], begun };
    counted = mended;
  }
}

/** Stands for the readings until there are any: the same number in each window, which is never complained about for good. */
function placeholder({ windows }: ReadingsDraft): TakeDraft {
  return { id: 0, diameter: '0', markOnTester: '0', at: '', readings: windows.map(() => '0') };
}

function fieldComplaints(draft: ReadingsDraft): FieldComplaint[] {
  const complaints: FieldComplaint[] = [];
  const check = (field: string, text: string, unit: ShownUnit, needed = false): void => {
    const wrong = trouble(text, unit);
    if (wrong !== null) complaints.push({ field, message: wrong });
    else if (needed && text.trim() === '') complaints.push({ field, message: 'An edge is missing.' });
  };
  if (draft.windows.length < LEAST_WINDOWS)
    complaints.push({
      field: 'windows',
      message: `${draft.windows.length} windows tell focus and little else: at least ${LEAST_WINDOWS} are wanted, eight or more to see zones.`,
    });
  const aims = draft.windows.filter(({ aimedAt }) => aimedAt.trim() !== '').length;
  draft.windows.forEach((window, i) => {
    check(edgeField(i, 'from'), window.from, EDGE[draft.unit], true);
    check(edgeField(i, 'to'), window.to, EDGE[draft.unit], true);
    check(edgeField(i, 'aimedAt'), window.aimedAt, EDGE[draft.unit]);
    if (aims > 0 && window.aimedAt.trim() === '')
      complaints.push({ field: edgeField(i, 'aimedAt'), message: 'Give a radius for every window, or for none.' });
  });
  check('repeatability', draft.repeatability, READING[draft.unit]);
  check('detail', draft.detail, EDGE[draft.unit]);
  check('markOnStand', draft.markOnStand, ANGLE);
  check('sinceWork', draft.sinceWorkHours, HOURS);
  check('glassC', draft.glassC, CELSIUS);
  check('roomC', draft.roomC, CELSIUS);
  return complaints;
}

function readingComplaints(take: TakeDraft, { unit }: ReadingsDraft): FieldComplaint[] {
  const fields: [string, string, ShownUnit][] = [
    [takeField(take.id, 'diameter'), take.diameter, ANGLE],
    [takeField(take.id, 'markOnTester'), take.markOnTester, ANGLE],
    [takeField(take.id, 'at'), take.at, MINUTES],
    ...take.readings.map((text, i): [string, string, ShownUnit] => [readingField(take.id, i), text, READING[unit]]),
  ];
  return fields.flatMap(([field, text, as]) => {
    const wrong = trouble(text, as);
    return wrong === null ? [] : [{ field, message: wrong }];
  });
}

/** What is wrong with what was typed; an empty field is not wrong. */
export function trouble(text: string, unit: ShownUnit): string | null {
  if (text.trim() === '') return null;
  const value = understood(text, unit);
  return value === null || !Number.isFinite(value) ? NO_NUMBER : null;
}

/** Fields of the file by the name the page has for them. */
const FIELDS: Record<string, string> = {
  glass: 'glass',
  source: 'source',
  repeatability: 'repeatability',
  detail: 'detail',
  markOnStand: 'markOnStand',
  wavelength: 'file',
  'rest.sinceWork': 'sinceWork',
  'rest.glass': 'glassC',
  'rest.room': 'roomC',
};

/** Where on the page a complaint about the text belongs. In lists its column says which of the numbers it speaks of. */
function atField(
  complaint: Complaint,
  draft: ReadingsDraft,
  shelf: Shelf,
  takes: readonly TakeDraft[],
): FieldComplaint {
  const { field, message } = complaint;
  const said = (at: string): FieldComplaint => ({ field: at, message });
  const parts = /^takes\[(\d+)\](?:\.(\w+))?/.exec(field);
  const take = parts ? takes[Number(parts[1])] : undefined;
  if (take && parts) {
    const key = parts[2];
    if (key === 'diameter' || key === 'markOnTester' || key === 'at') return said(takeField(take.id, key));
    return said(readingField(take.id, wordOf(complaint, draft, shelf, takes)));
  }
  if (field === 'windows') return said(windowField(wordOf(complaint, draft, shelf, takes)));
  if (field === 'aimedAt') return said(edgeField(wordOf(complaint, draft, shelf, takes), 'aimedAt'));
  return said(FIELDS[field] ?? 'file');
}

/** Which number of a list in that line stands at the complaint's column. */
function wordOf({ line, column }: Complaint, draft: ReadingsDraft, shelf: Shelf, takes: readonly TakeDraft[]): number {
  const written = measurementText(draft, shelf, takes).split('\n')[line - 1] ?? '';
  const before = written.slice(written.indexOf(': ') + 2, column - 1).trim();
  return before === '' ? 0 : before.split(/\s+/).length;
}
