/** Measurements as files: what a chosen one becomes on the page, or every line of it that is wrong. Pure. */
import { parse } from 'yaml';
import { readMeasurement } from '../../planner/figure/read-measurement';
import type { Shelf } from '../../planner/shelf/types';
import { parseQuantity } from '../../planner/units/quantity';
import type { LengthUnit } from '../words';
import { type MeasureDraft, readingsOf } from './draft';
import { lineComplaint } from './judge';

export interface ChosenFile {
  name: string;
  text: string;
}

export type Opened = { draft: MeasureDraft } | { wrong: string[] };

/** One measurement, and the table it names if it names one; in any order. */
export function openFiles(files: readonly ChosenFile[], shelf: Shelf, unit: LengthUnit): Opened {
  const written = files.filter(({ name }) => !/\.(csv|txt|tsv)$/i.test(name));
  const [file] = written;
  if (!file)
    return {
      wrong: [
        'A table alone does not say which glass it is of, nor whether its heights are of the surface or of the wavefront. ' +
          'Choose it together with its measurement file (of: surface, csv: its name).',
      ],
    };
  if (written.length > 1) return { wrong: ['Choose one measurement, and the table beside it if it has one.'] };
  const tables = Object.fromEntries(files.filter((each) => each !== file).map(({ name, text }) => [name, text]));
  return openText(file, tables, shelf, unit);
}

export function openText(
  { name, text }: ChosenFile,
  tables: Record<string, string>,
  shelf: Shelf,
  unit: LengthUnit,
): Opened {
  const { measurement, complaints } = readMeasurement(text, name, shelf, (other) => {
    return Object.hasOwn(tables, other) ? tables[other]! : null;
  });
  if (measurement === null) {
    const wrong = complaints.map((complaint) => lineComplaint(complaint).message);
    if (complaints.some(({ field }) => field === 'csv'))
      wrong.push('Choose the measurement and its table together: a page opens no file by itself.');
    return { wrong };
  }
  if (measurement.kind !== 'knife-edge')
    return { draft: { kind: 'file', name, text, tables, virtual: measurement.virtual } };
  const { title, detail } = parse(text) as { title?: unknown; detail?: unknown };
  const read = typeof detail === 'string' ? parseQuantity(detail, 'length') : null;
  const head = {
    title: typeof title === 'string' ? title : `Measurement of ${measurement.glass.title}`,
    detailMm: read?.ok ? read.value : null,
  };
  return { draft: readingsOf(measurement, head, unit) };
}
