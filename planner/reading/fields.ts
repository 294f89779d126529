/**
 * What may stand in a file, described once: a `Field` reads a value (complaining with line and column) and gives the
 * JSON Schema that editors use, so the two cannot drift apart.
 */
import { isScalar, type Node } from 'yaml';
import { listed, parseQuantity, wanted } from '../units/quantity';
import { type Kind, kindOf } from '../units/units';
import { type Complaints, shown } from './complaints';
import { suggestion } from './nearest';

export type JsonSchema = Record<string, unknown>;

/** A place in the file: the node that stands there and how a person would name it. */
export interface Spot {
  node: Node;
  /** E.g. `do[2].nudge.by`; empty at the top. */
  field: string;
  complaints: Complaints;
}

export interface Field<T> {
  /** Undefined means it complained. */
  read(spot: Spot): T | undefined;
  schema: JsonSchema;
}

export function offsetOf(spot: Spot): number {
  return spot.node.range?.[0] ?? 0;
}

/** Complains at the spot; returns undefined so that readers can `return complain(...)`. */
export function complain(spot: Spot, message: string): undefined {
  spot.complaints.add(offsetOf(spot), spot.field, message);
  return undefined;
}

/** The scalar's text as written, or null for a list, a map or nothing. */
export function writtenText(node: Node): string | null {
  if (!isScalar(node) || node.value === null) return null;
  return typeof node.value === 'string' ? node.value : (node.source ?? String(node.value));
}

function scalarText(spot: Spot, want: string): string | undefined {
  const text = writtenText(spot.node);
  if (text !== null) return text;
  const found = isScalar(spot.node) ? 'Nothing stands here' : 'A list or a group of keys stands here';
  return complain(spot, `${found}; ${want}.`);
}

/** Smallest and largest value accepted, in the kind's own unit, and what it would mean beyond them. */
export interface Range {
  above?: number;
  least?: number;
  most?: number;
  why: string;
}

/** A number with its unit, e.g. `118 mm`; the value comes out in the kind's own unit. */
export function quantity(kind: Kind, range: Range, example: string): Field<number> {
  return {
    schema: quantitySchema(kind, example),
    read(spot) {
      const text = scalarText(spot, `${wanted(kind)}, e.g. ${example}`);
      if (text === undefined) return undefined;
      const parsed = parseQuantity(text, kind);
      if (!parsed.ok) return complain(spot, `"${shown(text)}" ${parsed.reason}, e.g. ${example}.`);
      return outside(parsed.value, range) ? complain(spot, `"${shown(text)}": ${limits(range, kind)}`) : parsed.value;
    },
  };
}

/** A whole number of something counted; a fraction is refused with `why` it cannot be. */
export function whole(kind: 'turns' | 'strokes', range: { least: number; most: number; why: string }): Field<number> {
  const counted = quantity(kind, range, `${range.least + 2}`);
  return {
    schema: {
      anyOf: [
        { type: 'integer', minimum: range.least, maximum: range.most },
        writtenSchema(kind, `${range.least + 2} ${kind}`),
      ],
    },
    read(spot) {
      const value = counted.read(spot);
      if (value === undefined || Number.isInteger(value)) return value;
      return complain(spot, `"${shown(writtenText(spot.node) ?? '')}" is not a whole number. ${range.why}`);
    },
  };
}

/** A number without a unit. */
export function plainNumber(range: Range): Field<number> {
  return {
    schema: { type: 'number' },
    read(spot) {
      const text = scalarText(spot, 'a number without a unit is wanted');
      if (text === undefined) return undefined;
      const value = /^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?$/.test(text.trim()) ? Number(text) : Number.NaN;
      if (!Number.isFinite(value)) return complain(spot, `"${shown(text)}" is not a plain number. ${range.why}`);
      return outside(value, range) ? complain(spot, `"${shown(text)}": ${limits(range, null)}`) : value;
    },
  };
}

/** A whole number of things that have no unit of their own. */
export function count(range: { least: number; most: number; why: string }): Field<number> {
  const number = plainNumber(range);
  return {
    schema: { type: 'integer', minimum: range.least, maximum: range.most },
    read(spot) {
      const value = number.read(spot);
      if (value === undefined || Number.isInteger(value)) return value;
      return complain(spot, `"${value}" is not a whole number. ${range.why}`);
    },
  };
}

/** A line of text, not empty. */
export function line(longest = 200): Field<string> {
  return {
    schema: { type: ['string', 'number'], maxLength: longest },
    read(spot) {
      const text = scalarText(spot, 'some words are wanted')?.trim();
      if (text === undefined) return undefined;
      if (text === '') return complain(spot, 'Some words are wanted here; it is empty.');
      return text.length > longest ? complain(spot, `Too long: at most ${longest} characters.`) : text;
    },
  };
}

/** One of a few words. */
export function word<W extends string>(words: readonly W[]): Field<W> {
  return {
    schema: { enum: [...words] },
    read(spot) {
      const text = scalarText(spot, `${listed(words)} is wanted`);
      if (text === undefined) return undefined;
      const known = words.find((each) => each === text);
      return (
        known ?? complain(spot, `"${shown(text)}" is not known here; write ${listed(words)}.${suggestion(text, words)}`)
      );
    },
  };
}

/** true or false. */
export const yesOrNo: Field<boolean> = {
  schema: { type: 'boolean' },
  read(spot) {
    const value = isScalar(spot.node) ? spot.node.value : null;
    return typeof value === 'boolean' ? value : complain(spot, 'Write true or false.');
  },
};

/** First line of every file: which format it is written in. */
export const formatOne: Field<1> = {
  schema: { const: 1 },
  read(spot) {
    const text = writtenText(spot.node)?.trim();
    return text === '1'
      ? 1
      : complain(spot, `"${shown(text ?? '')}" is not a format this planner reads; write wholeturn: 1.`);
  },
};

function outside(value: number, { above, least, most }: Range): boolean {
  return (
    (above !== undefined && value <= above) ||
    (least !== undefined && value < least) ||
    (most !== undefined && value > most)
  );
}

function limits(range: Range, kind: Kind | null): string {
  const parts: string[] = [];
  if (range.above !== undefined) parts.push(`above ${limit(range.above, kind)}`);
  if (range.least !== undefined) parts.push(`at least ${limit(range.least, kind)}`);
  if (range.most !== undefined) parts.push(`at most ${limit(range.most, kind)}`);
  return `it must be ${parts.join(' and ')}. ${range.why}`;
}

/** As a person would write it: shares in percent, one turn without an s. */
function limit(value: number, kind: Kind | null): string {
  if (kind === null) return `${value}`;
  if (kind === 'share') return `${Number((100 * value).toPrecision(12))} %`;
  const { base, units } = kindOf(kind);
  const counted = units[''] !== undefined;
  return `${value} ${counted && value === 1 ? base.replace(/s$/, '') : base}`;
}

function quantitySchema(kind: Kind, example: string): JsonSchema {
  const written = writtenSchema(kind, example);
  return kindOf(kind).units[''] ? { anyOf: [{ type: 'number' }, written] } : written;
}

/** Text of a number and a unit; units as documented, the reader also takes capitals where they cannot be mistaken. */
function writtenSchema(kind: Kind, example: string): JsonSchema {
  const { units } = kindOf(kind);
  const names = Object.keys(units).filter((name) => name !== '');
  const spelled = names.map((name) => name.replace('/', ' ?/ ?')).join('|');
  const number = '[+-]?(\\d+\\.?\\d*|\\.\\d+)([eE][+-]?\\d+)?';
  return { type: 'string', pattern: `^\\s*${number}\\s*(${spelled})${units[''] ? '?' : ''}\\s*$`, examples: [example] };
}
