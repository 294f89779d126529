/** `glass`, `lap` and `slurry` of a program: the name of something on the shelf, or the thing written out. */
import { isMap } from 'yaml';
import { shown } from '../reading/complaints';
import { complain, type Field, type JsonSchema, type Spot, writtenText } from '../reading/fields';
import { NAME } from '../reading/groups';
import { nearest } from '../reading/nearest';

/**
 * What is written out in a program has no name of its own; its title makes one, so that the logbook can tell recipes
 * apart.
 */
function idFrom(title: string): string {
  const id = title
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '')
    .slice(0, 64);
  return id === '' ? 'written-out' : id;
}

export function shelfItem<T extends { title: string }>(
  what: string,
  written: Field<T>,
  onShelf: Record<string, T & { id: string }>,
): Field<T & { id: string }> {
  return {
    schema: shelfItemSchema(written),
    read(spot) {
      if (isMap(spot.node)) {
        const read = written.read(spot);
        return read && { id: idFrom(read.title), ...read };
      }
      return byName(spot, what, onShelf);
    },
  };
}

export function shelfItemSchema(written: Field<unknown>): JsonSchema {
  return { anyOf: [{ type: 'string', pattern: NAME.source }, written.schema] };
}

function byName<T>(spot: Spot, what: string, onShelf: Record<string, T>): T | undefined {
  const name = writtenText(spot.node);
  if (name === null) return complain(spot, `Which ${what}? Write its name on the shelf, or write it out here.`);
  if (Object.hasOwn(onShelf, name)) return onShelf[name];
  const names = Object.keys(onShelf);
  if (names.length === 0)
    return complain(spot, `"${shown(name)}": there is no ${what} on the shelf. Put it there, or write it out here.`);
  const near = nearest(name, names);
  const hint = near === null ? '' : ` Did you mean "${near}"?`;
  const some = names.slice(0, 8).join(', ');
  return complain(spot, `There is no ${what} "${shown(name)}" on the shelf.${hint} On the shelf: ${some}.`);
}
