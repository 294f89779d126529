/** Lists of numbers with one unit at the end, as people note them: `0.00 0.35 0.81 mm`, `0..19 19..37 mm`. */
import { isScalar } from 'yaml';
import { shown } from '../reading/complaints';
import { complain, type Field, offsetOf, type Spot, writtenText } from '../reading/fields';

export interface UnitList {
  values: number[];
  /** As written. */
  unit: string;
  /** Complains about one of the values. */
  complainAt(index: number, message: string): undefined;
}

/** Units by name, with what one of them is in the unit wanted. */
export type Units = Readonly<Record<string, number>>;

export const LENGTH_UNITS: Units = { mm: 1, cm: 10, in: 25.4, inch: 25.4, um: 1e-3 };
const LONGEST = 2000;
const NUMBER = /^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?$/;
const RANGE = /^(\d+\.?\d*|\.\d+)\.\.(\d+\.?\d*|\.\d+)$/;

/** Numbers apart by spaces or commas, then one unit. */
export function unitList(units: Units, example: string): Field<UnitList> {
  return listOf(units, example, 1, (word) => (NUMBER.test(word) ? [Number(word)] : null));
}

/** Pairs `from..to`, then one unit; the values come out one after the other. */
export function rangeList(units: Units, example: string): Field<UnitList> {
  return listOf(units, example, 2, (word) => {
    const parts = RANGE.exec(word);
    return parts && [Number(parts[1]), Number(parts[2])];
  });
}

function listOf(
  units: Units,
  example: string,
  perWord: number,
  parse: (word: string) => number[] | null,
): Field<UnitList> {
  const names = Object.keys(units);
  return {
    schema: { type: 'string', examples: [example] },
    read(spot) {
      const text = writtenText(spot.node);
      if (text === null) return complain(spot, `Numbers with one unit at the end are wanted here, e.g. ${example}.`);
      const words = [...text.matchAll(/[^\s,;]+/g)];
      if (words.length > LONGEST) return complain(spot, `More than ${LONGEST} numbers: give them as a CSV file.`);
      const at = (index: number, message: string): undefined => {
        const from = offsetOf(spot) + quoteWidth(spot) + (words[index]?.index ?? 0);
        spot.complaints.add(from, spot.field, message);
        return undefined;
      };
      // "0.81mm" without a space before the unit is how many write the last one.
      const last = words[words.length - 1]?.[0] ?? '';
      const glued = /^(.*\d\.?)([a-z]+)$/i.exec(last);
      const unit = glued && names.includes(glued[2]!) ? glued[2]! : last;
      const scale = Object.hasOwn(units, unit) ? units[unit]! : null;
      if (scale === null) {
        return complain(
          spot,
          `"${shown(text)}" does not end with a unit (${names.join(', ')}); write e.g. ${example}.`,
        );
      }
      const numbers = words.map((word) => word[0]).slice(0, glued && unit !== last ? words.length : -1);
      if (glued && unit !== last) numbers[numbers.length - 1] = glued[1]!;
      const values: number[] = [];
      for (const [index, word] of numbers.entries()) {
        if (Object.hasOwn(units, word))
          return at(index, `One unit for the whole list, at its end; "${word}" stands in the middle.`);
        const parsed = parse(word);
        if (!parsed?.every((value) => Number.isFinite(value * scale))) {
          return at(index, `"${shown(word)}" is not a number as wanted here; write e.g. ${example}.`);
        }
        values.push(...parsed.map((value) => value * scale));
      }
      if (values.length === 0) return complain(spot, `There is a unit but no number; write e.g. ${example}.`);
      return { values, unit, complainAt: (index, message) => at(Math.floor(index / perWord), message) };
    },
  };
}

function quoteWidth({ node }: Spot): number {
  return isScalar(node) && (node.type === 'QUOTE_DOUBLE' || node.type === 'QUOTE_SINGLE') ? 1 : 0;
}
