/** Reads the shelf: the glasses, laps and slurries that programs call by name. */
import type { Complaint } from '../program/types';
import { openDocument } from '../reading/document';
import { formatOne, type JsonSchema } from '../reading/fields';
import { group, may, must, named } from '../reading/groups';
import { glassField, lapField, slurryField } from './fields';
import type { Shelf } from './types';

const shelfGroup = group('a shelf', {
  wholeturn: must(formatOne, 'the format of the file: 1'),
  glasses: may(named('the glasses', glassField), 'glasses under the names programs use'),
  laps: may(named('the laps', lapField), 'laps under the names programs use'),
  slurries: may(named('the slurries', slurryField), 'slurries under the names programs use'),
});

/**
 * Never throws. The shelf is null when anything was complained about: a program planned with half a shelf would be
 * planned for another glass than the one on the turntable.
 */
export function readShelf(text: string, file: string): { shelf: Shelf | null; complaints: Complaint[] } {
  const { complaints, root } = openDocument(text, file, 'a shelf');
  const read = root ? shelfGroup.read({ node: root, field: '', complaints }) : undefined;
  const shelf = read && {
    glasses: withIds(read.glasses),
    laps: withIds(read.laps),
    slurries: withIds(read.slurries),
  };
  return { shelf: shelf ?? null, complaints: complaints.all() };
}

function withIds<T>(entries: Record<string, T> = {}): Record<string, T & { id: string }> {
  return Object.fromEntries(Object.entries(entries).map(([id, entry]) => [id, { id, ...entry }]));
}

/** JSON Schema (2020-12) of a shelf file, for editors. */
export function shelfSchema(): JsonSchema {
  return { $schema: 'https://json-schema.org/draft/2020-12/schema', title: 'Shelf', ...shelfGroup.schema };
}
