/** Reads measurements with the shelf they name their glass from, for the verbs that reduce, suggest and learn. */
import { existsSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { readMeasurement } from '../../planner/figure/read-measurement';
import type { ReferenceKind } from '../../planner/figure/reference';
import type { Measurement } from '../../planner/figure/types';
import { readShelf } from '../../planner/shelf/read-shelf';
import type { Shelf } from '../../planner/shelf/types';
import type { Stand } from '../../planner/stand/types';
import { beside, readStandFile, readText } from './files';
import { type Call, InputError, usageComplaint } from './verb';

export const MEASUREMENT_HELP = [
  'MEASUREMENT   knife-edge readings, a profile or Zernike coefficients (YAML), e.g. planner/examples/measured/first.yaml',
] as const;

export function readShelfFor(file: string, { values }: Pick<Call, 'values'>): Shelf {
  const shelfFile = typeof values.shelf === 'string' ? values.shelf : beside(file, 'shelf.yaml');
  const { shelf, complaints } = readShelf(readText(shelfFile, 'a shelf'), shelfFile);
  if (shelf === null) throw new InputError(complaints);
  return shelf;
}

export function readStandFor(file: string, { values }: Pick<Call, 'values'>): Stand {
  const standFile = typeof values.stand === 'string' ? values.stand : beside(file, 'stand.yaml');
  return readStandFile(standFile);
}

/** Throws InputError with every complaint. Tables are looked for beside the measurement, by name alone. */
export function readMeasurementFile(file: string, shelf: Shelf): Measurement {
  const tableBeside = (name: string): string | null => {
    const path = join(dirname(file), basename(name));
    return existsSync(path) ? readText(path, 'a table of radii and heights') : null;
  };
  const { measurement, complaints } = readMeasurement(readText(file, 'a measurement'), file, shelf, tableBeside);
  if (measurement === null) throw new InputError(complaints);
  return measurement;
}

const REFERENCES: readonly ReferenceKind[] = ['best fit', 'highest under', 'most of the area', 'same vertex radius'];

export function readReference(asked: string | boolean | undefined): ReferenceKind {
  if (asked === undefined) return 'best fit';
  const found = REFERENCES.find((kind) => kind === asked);
  if (!found) throw usageComplaint(`--reference is one of: ${REFERENCES.join(', ')}; not "${String(asked)}".`);
  return found;
}

/** A number above 0 behind an option, or undefined. */
export function readPositive(call: Call, name: string): number | undefined {
  const value = readNotNegative(call, name);
  if (value === 0) throw usageComplaint(`--${name} wants a number above 0, not 0.`);
  return value;
}

/** A number of 0 or more behind an option, or undefined. */
export function readNotNegative(call: Call, name: string): number | undefined {
  const text = call.values[name];
  if (text === undefined) return undefined;
  const value = typeof text === 'string' && text.trim() !== '' ? Number(text) : Number.NaN;
  if (!Number.isFinite(value) || value < 0) {
    throw usageComplaint(`--${name} wants a number, not below 0; "${String(text)}" is not one.`);
  }
  return value;
}
