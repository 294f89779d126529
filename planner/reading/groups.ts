/** Groups of keys, lists, and named entries: the fields that hold other fields. */
import { isMap, isNode, isScalar, isSeq, type Node, Scalar, type YAMLMap } from 'yaml';
import { shown } from './complaints';
import { complain, type Field, type JsonSchema, offsetOf, type Spot } from './fields';
import { suggestion } from './nearest';

interface Entry<T> {
  field: Field<T>;
  needed: boolean;
  /** Shown by editors, and in the complaint when it is missing. */
  words: string;
}

/** A key that must be there. */
export function must<T>(field: Field<T>, words: string): Entry<T> & { needed: true } {
  return { field, needed: true, words };
}

/** A key that may be left out. */
export function may<T>(field: Field<T>, words: string): Entry<T> & { needed: false } {
  return { field, needed: false, words };
}

export type Entries = Record<string, Entry<unknown>>;
type ValueOf<E> = E extends Entry<infer T> ? T : never;
type NeededKeys<E extends Entries> = { [K in keyof E]: E[K]['needed'] extends true ? K : never }[keyof E];

/** All keys read without complaint. */
export type ValuesOf<E extends Entries> = { [K in NeededKeys<E>]: ValueOf<E[K]> } & {
  [K in Exclude<keyof E, NeededKeys<E>>]?: ValueOf<E[K]>;
};

/** What could be read, although something else in the group may be wrong: checks that need only these still run. */
export interface Parts<E extends Entries> {
  values: { [K in keyof E]?: ValueOf<E[K]> };
  /** Where each key's value stands (for complaints about what values mean together). */
  spots: { [K in keyof E]?: Spot };
  /** All values, when nothing was complained about. */
  complete: ValuesOf<E> | null;
}

export interface Group<E extends Entries> extends Field<ValuesOf<E>> {
  entries: E;
  readParts(spot: Spot): Parts<E> | null;
}

/** A group of known keys. `what` names it in complaints, e.g. "a stint". */
export function group<E extends Entries>(what: string, entries: E): Group<E> {
  const readParts = (spot: Spot) => partsOf(spot, what, entries);
  return { entries, readParts, read: (spot) => readParts(spot)?.complete ?? undefined, schema: groupSchema(entries) };
}

function partsOf<E extends Entries>(spot: Spot, what: string, entries: E): Parts<E> | null {
  const children = keysOf(spot, what);
  if (!children) return null;
  const values: Record<string, unknown> = {};
  const spots: Record<string, Spot> = {};
  let wrong = children.wrong;
  for (const [key, child] of children.byKey) {
    const entry = Object.hasOwn(entries, key) ? entries[key] : undefined;
    if (!entry) {
      spot.complaints.add(child.keyOffset, child.spot.field, unknownKey(key, what, Object.keys(entries)));
      wrong = true;
      continue;
    }
    spots[key] = child.spot;
    const value = entry.field.read(child.spot);
    if (value === undefined) wrong = true;
    else values[key] = value;
  }
  for (const [key, entry] of Object.entries(entries)) {
    if (!entry.needed || spots[key]) continue;
    complain({ ...spot, field: inside(spot.field, key) }, `"${key}" is missing in ${what}: ${entry.words}.`);
    wrong = true;
  }
  return { values, spots, complete: wrong ? null : values } as unknown as Parts<E>;
}

function unknownKey(key: string, what: string, known: readonly string[]): string {
  return `"${shown(key)}" is not known in ${what}.${suggestion(key, known)} Known here: ${known.join(', ')}.`;
}

interface Child {
  keyOffset: number;
  spot: Spot;
}

/** Keys with their values; complains when it is no group of keys, or when a key comes twice. */
export function keysOf(spot: Spot, what: string): { byKey: Map<string, Child>; wrong: boolean } | null {
  if (!isMap(spot.node)) {
    complain(spot, `Wanted here: ${what}, written as keys with values.`);
    return null;
  }
  const byKey = new Map<string, Child>();
  let wrong = false;
  for (const { key, value } of (spot.node as YAMLMap<unknown, unknown>).items) {
    const name = isScalar(key) && key.value !== null ? String(key.value) : null;
    const keyOffset = isNode(key) ? (key.range?.[0] ?? offsetOf(spot)) : offsetOf(spot);
    if (name === null) {
      spot.complaints.add(keyOffset, spot.field, `A plain word is wanted as a key in ${what}.`);
      wrong = true;
      continue;
    }
    const field = inside(spot.field, name);
    const before = byKey.get(name);
    if (before) {
      const first = spot.complaints.lineOf(before.keyOffset);
      spot.complaints.add(
        keyOffset,
        field,
        `"${shown(name)}" was already given in line ${first}. Keep one of the two.`,
      );
      wrong = true;
      continue;
    }
    byKey.set(name, { keyOffset, spot: { ...spot, field, node: isNode(value) ? value : nothingAt(keyOffset) } });
  }
  return { byKey, wrong };
}

/** Entries under names of the person's choosing, e.g. the laps of a shelf. */
export function named<T>(what: string, field: Field<T>): Field<Record<string, T>> {
  return {
    schema: { type: 'object', propertyNames: { pattern: NAME.source }, additionalProperties: field.schema },
    read(spot) {
      const children = keysOf(spot, what);
      if (!children) return undefined;
      const read: Record<string, T> = Object.create(null);
      let { wrong } = children;
      for (const [name, child] of children.byKey) {
        const value = field.read(child.spot);
        if (!NAME.test(name)) {
          spot.complaints.add(
            child.keyOffset,
            child.spot.field,
            `"${shown(name)}": a name has letters, digits, - and _ only.`,
          );
          wrong = true;
        } else if (value === undefined) wrong = true;
        else read[name] = value;
      }
      return wrong ? undefined : { ...read };
    },
  };
}

/** What a person may call a thing so that a program can speak of it. */
export const NAME = /^[A-Za-z0-9][A-Za-z0-9_-]{0,63}$/;

/** The items of a list with at least one item, as spots; complains otherwise. */
export function itemsOf(spot: Spot, what: string): Spot[] | null {
  if (!isSeq(spot.node) || spot.node.items.length === 0) {
    complain(spot, `A list of ${what} is wanted here, at least one; each begins with "- ".`);
    return null;
  }
  return spot.node.items.map((item, index) => ({
    ...spot,
    field: `${spot.field}[${index}]`,
    node: isNode(item) ? item : nothingAt(offsetOf(spot)),
  }));
}

/** The value under a key of a group that was read before; the group itself where the key is not there. */
export function within(spot: Spot, key: string): Spot {
  const value = isMap(spot.node) ? spot.node.get(key, true) : undefined;
  return isNode(value) ? { ...spot, node: value, field: inside(spot.field, key) } : spot;
}

export function inside(field: string, key: string): string {
  return field === '' ? shown(key) : `${field}.${shown(key)}`;
}

/** Stands in for a value that was left out, so that the complaint still has a place. */
function nothingAt(offset: number): Node {
  const nothing = new Scalar(null);
  nothing.range = [offset, offset, offset];
  return nothing;
}

function groupSchema(entries: Entries): JsonSchema {
  const properties: Record<string, JsonSchema> = {};
  for (const [key, { field, words }] of Object.entries(entries))
    properties[key] = { ...field.schema, description: words };
  const required = Object.keys(entries).filter((key) => entries[key]?.needed);
  return { type: 'object', properties, required, additionalProperties: false };
}
