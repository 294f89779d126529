/** The measurement as the text of its file, from what stands in the fields; pure. Only what is a number is written. */
import { glassText } from '../../planner/program/write-program';
import type { Shelf } from '../../planner/shelf/types';
import { type ShownUnit, understood } from '../plan/number-entry';
import { ANGLE, CELSIUS, EDGE, HOURS, MINUTES, READING, type ReadingsDraft, type TakeDraft } from './draft';

/** How the writer calls the units it uses. */
const WORDS = { mm: 'mm', in: 'in' } as const;

/** The text of a file with these takes; fields that are empty or no number are left out, so check them first. */
export function measurementText(draft: ReadingsDraft, shelf: Shelf, takes: readonly TakeDraft[] = draft.takes): string {
  const unit = WORDS[draft.unit];
  const edge = (text: string): string | null => number(text, EDGE[draft.unit]);
  const lines: string[] = [];
  const add = (key: string, value: string | null): void => {
    if (value !== null) lines.push(`${key}: ${value}`);
  };
  const with_ = (value: string | null, word: string): string | null => (value === null ? null : `${value} ${word}`);
  add('wholeturn', '1');
  add('measurement', 'knife-edge');
  if (draft.title.trim() !== '') add('title', JSON.stringify(draft.title.trim()));
  add('virtual', draft.virtual ? 'true' : null);
  add('glass', glassText(draft.glass, shelf));
  add('source', draft.source);
  const ranges = draft.windows.map(({ from, to }) => `${edge(from) ?? ''}..${edge(to) ?? ''}`);
  add('windows', `${ranges.join(' ')} ${unit}`);
  const aimed = draft.windows.map(({ aimedAt }) => edge(aimedAt)).filter((each) => each !== null);
  if (aimed.length > 0) add('aimedAt', `${aimed.join(' ')} ${unit}`);
  if (draft.wavelengthNm !== 550) add('wavelength', `${draft.wavelengthNm} nm`);
  add('repeatability', with_(number(draft.repeatability, READING[draft.unit]), unit));
  add('detail', with_(edge(draft.detail), unit));
  add('markOnStand', with_(number(draft.markOnStand, ANGLE), 'deg'));
  const rest = [
    ['sinceWork', with_(number(draft.sinceWorkHours, HOURS), 'h')],
    ['glass', with_(number(draft.glassC, CELSIUS), 'C')],
    ['room', with_(number(draft.roomC, CELSIUS), 'C')],
  ].filter(([, value]) => value !== null);
  if (rest.length > 0) add('rest', `{ ${rest.map(([key, value]) => `${key}: ${value}`).join(', ')} }`);
  lines.push('takes:');
  for (const take of takes) lines.push(...takeLines(take, draft));
  return `${lines.join('\n')}\n`;
}

function takeLines(take: TakeDraft, { unit }: ReadingsDraft): string[] {
  const readings = take.readings.map((text) => number(text, READING[unit])).filter((each) => each !== null);
  const at = number(take.at, MINUTES);
  return [
    `  - diameter: ${number(take.diameter, ANGLE) ?? 0} deg`,
    `    markOnTester: ${number(take.markOnTester, ANGLE) ?? 0} deg`,
    ...(at === null ? [] : [`    at: ${at} min`]),
    `    readings: ${readings.join(' ')} ${WORDS[unit]}`,
  ];
}

/** As the file has it, in the field's own unit; null for what is empty or no number. */
function number(text: string, unit: ShownUnit): string | null {
  const value = text.trim() === '' ? null : understood(text, unit);
  if (value === null || !Number.isFinite(value)) return null;
  return String(Number((value / unit.per).toPrecision(9)) + 0);
}
