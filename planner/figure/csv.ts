/** A profile as a CSV table: a header with units, then numbers. */

import type { Complaint } from '../program/types';
import { shown } from '../reading/complaints';

export interface CsvProfile {
  radiusMm: number[];
  /** nm, or waves where `inWaves`. */
  height: number[];
  sigma: number[] | null;
  inWaves: boolean;
  lines: number[];
}

const LENGTHS: Record<string, number> = { mm: 1, cm: 10, m: 1000, in: 25.4 };
const HEIGHTS: Record<string, number> = { nm: 1, um: 1000, waves: 1 };
const MOST_ROWS = 100_000;
const MOST_COMPLAINTS = 20;

/**
 * Reads `radius mm, height nm` (and maybe `sigma nm`), columns in any order, apart by commas, semicolons or tabs. Never throws;
 * the profile is null exactly when there is a complaint. Empty lines and lines beginning with # are passed over.
 */
export function readCsvProfile(text: string, file: string): { profile: CsvProfile | null; complaints: Complaint[] } {
  const complaints: Complaint[] = [];
  const complain = (line: number, column: number, field: string, message: string): void => {
    if (complaints.length < MOST_COMPLAINTS) complaints.push({ file, line, column, field, message });
  };
  const rows = text
    .replace(/^\ufeff/, '')
    .split(/\r\n|\n|\r/)
    .map((content, index) => ({ content, line: index + 1 }))
    .filter(({ content }) => content.trim() !== '' && !content.trimStart().startsWith('#'));
  const header = rows.shift();
  if (!header) {
    complain(1, 1, '', 'The table is empty. Its first line names the columns: radius mm, height nm.');
    return { profile: null, complaints };
  }
  if (rows.length > MOST_ROWS) {
    complain(1, 1, '', `More than ${MOST_ROWS} rows: thin the profile out; one every millimetre is plenty.`);
    return { profile: null, complaints };
  }
  const mark = header.content.includes(';') ? ';' : header.content.includes('\t') ? '\t' : ',';
  const columns = columnsOf(header.content.split(mark), header.line, complain);
  if (!columns) return { profile: null, complaints };
  const profile: CsvProfile = {
    radiusMm: [],
    height: [],
    sigma: columns.sigma ? [] : null,
    inWaves: columns.inWaves,
    lines: [],
  };
  for (const { content, line } of rows) {
    const cells = content.split(mark);
    const number = (column: Column, field: string): number => {
      const cell = (cells[column.at] ?? '').trim();
      const value = /^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?$/.test(cell) ? Number(cell) * column.scale : Number.NaN;
      if (!Number.isFinite(value)) {
        const start = cells.slice(0, column.at).join(mark).length + (column.at > 0 ? 2 : 1);
        complain(line, start, field, `"${shown(cell)}" is not a number. Leave out rows that were not measured.`);
      }
      return value;
    };
    profile.radiusMm.push(number(columns.radius, 'radius'));
    profile.height.push(number(columns.height, 'height'));
    if (columns.sigma) profile.sigma?.push(number(columns.sigma, 'sigma'));
    profile.lines.push(line);
  }
  return { profile: complaints.length === 0 ? profile : null, complaints };
}

interface Column {
  at: number;
  scale: number;
}

function columnsOf(
  cells: string[],
  line: number,
  complain: (line: number, column: number, field: string, message: string) => void,
): { radius: Column; height: Column; sigma: Column | null; inWaves: boolean } | null {
  const found: Record<string, Column & { unit: string }> = {};
  for (const [at, cell] of cells.entries()) {
    const parts = /^\s*(radius|height|sigma)[\s_([]+([a-z]+)[)\]]?\s*$/i.exec(cell);
    const name = parts?.[1]?.toLowerCase();
    const unit = parts?.[2]?.toLowerCase();
    const units = name === 'radius' ? LENGTHS : HEIGHTS;
    if (!name || !unit || !Object.hasOwn(units, unit)) {
      const start = cells.slice(0, at).join(',').length + (at > 0 ? 2 : 1);
      complain(
        line,
        start,
        '',
        `"${shown(cell.trim())}" names no column with its unit. Write radius mm, height nm and maybe sigma nm.`,
      );
      return null;
    }
    if (found[name]) {
      complain(line, 1, name, `There are two columns for ${name}. Keep one.`);
      return null;
    }
    found[name] = { at, unit, scale: units[unit]! };
  }
  const { radius, height, sigma } = found;
  if (!radius || !height) {
    complain(
      line,
      1,
      '',
      `The column ${radius ? 'height' : 'radius'} is missing. The first line names the columns: radius mm, height nm.`,
    );
    return null;
  }
  if (sigma && (sigma.unit === 'waves') !== (height.unit === 'waves')) {
    complain(line, 1, 'sigma', 'Height and sigma are in different units: give both in nm or both in waves.');
    return null;
  }
  return { radius, height, sigma: sigma ?? null, inWaves: height.unit === 'waves' };
}
