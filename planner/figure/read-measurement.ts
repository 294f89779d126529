/** Reads a measurement. Everything wrong with it is said at once, each with its line; no convention is guessed. */
import type { Complaint } from '../program/types';
import { openDocument } from '../reading/document';
import { complain, type JsonSchema, type Spot, word } from '../reading/fields';
import { within } from '../reading/groups';
import type { Shelf } from '../shelf/types';
import { KINDS, profileGroup, zernikeGroup } from './measurement-fields';
import { knifeEdgeFile, readKnifeEdge } from './read-knife-edge';
import { readProfile } from './read-profile';
import { coefficientsField, readZernike } from './read-zernike';
import type { Measurement } from './types';

/** Gives the text of a file that lies beside the measurement, or null where there is none: the planner opens nothing itself. */
export type Beside = (name: string) => string | null;

export interface MeasurementRead {
  /** Null exactly when there is a complaint. */
  measurement: Measurement | null;
  complaints: Complaint[];
}

/** Never throws. `file` is only for complaints. */
export function readMeasurement(text: string, file: string, shelf: Shelf, beside: Beside): MeasurementRead {
  const { complaints, root } = openDocument(text, file, 'a measurement');
  if (!root) return { measurement: null, complaints: complaints.all() };
  const spot: Spot = { node: root, field: '', complaints };
  const kindSpot = within(spot, 'measurement');
  const kind =
    kindSpot === spot
      ? complain(spot, `"measurement" is missing: write ${KINDS.join(', ')}, so that nothing is guessed.`)
      : word(KINDS).read(kindSpot);
  const more: Complaint[] = [];
  let measurement: Measurement | undefined;
  if (kind === 'knife-edge') measurement = readKnifeEdge(spot, file, shelf);
  else if (kind === 'profile') measurement = readProfile(spot, file, shelf, beside, more);
  else if (kind === 'zernike') measurement = readZernike(spot, file, shelf);
  const all = [...complaints.all(), ...more];
  return { measurement: all.length === 0 ? (measurement ?? null) : null, complaints: all };
}

/** JSON Schema (2020-12) of a measurement file, for editors. */
export function measurementSchema(shelf: Shelf): JsonSchema {
  return {
    $schema: 'https://json-schema.org/draft/2020-12/schema',
    title: 'Measurement',
    anyOf: [knifeEdgeFile(shelf).schema, profileGroup(shelf).schema, zernikeGroup(shelf, coefficientsField).schema],
  };
}
