/** How a number is shown in a field and understood when typed; pure. */
import { parseQuantity } from '../../planner/units/quantity';
import type { Kind } from '../../planner/units/units';
import type { LengthUnit } from '../words';

export interface ShownUnit {
  /** Beside the number; empty for a plain count. */
  word: string;
  /** How much of the value's own unit (mm, degrees ...) one of these is. */
  per: number;
  /** Step of the slider and the arrow keys, in the shown unit. */
  step: number;
  digits: number;
  /** Lets a person type another unit of the same kind ("3.5 in" in a field of mm). */
  kind?: Kind;
  /** What a number that is not taken would do to the glass; said beside the bounds. */
  why?: string;
}

const MM: ShownUnit = { word: 'mm', per: 1, step: 0.5, digits: 2, kind: 'length' };
const INCH: ShownUnit = { word: 'in', per: 25.4, step: 0.02, digits: 3, kind: 'length' };

export function lengthUnit(unit: LengthUnit): ShownUnit {
  return unit === 'mm' ? MM : INCH;
}

export const TURNS: ShownUnit = {
  word: 'turns',
  per: 1,
  step: 1,
  digits: 0,
  kind: 'turns',
  // As the reader of files says it.
  why: 'Only whole turns end where they began; a part of a turn leaves a wedge of the zone worked less (astigmatism).',
};
export const TIMES: ShownUnit = { word: 'times', per: 1, step: 1, digits: 0 };
export const STROKES: ShownUnit = { word: 'strokes', per: 1, step: 1, digits: 0, kind: 'strokes' };
export const DEGREES: ShownUnit = { word: '°', per: 1, step: 1, digits: 1, kind: 'angle' };
export const RATIO: ShownUnit = { word: 'of a turn', per: 1, step: 0.01, digits: 3 };
export const A_MINUTE: ShownUnit = { word: 'a minute', per: 1, step: 0.5, digits: 2, kind: 'rate' };
export const RPM: ShownUnit = { word: 'rpm', per: 1, step: 0.05, digits: 3, kind: 'turntableSpeed' };
export const NEWTON: ShownUnit = { word: 'N', per: 1, step: 0.1, digits: 2, kind: 'force' };
export const COEFFICIENT: ShownUnit = { word: '× 10⁻¹³ /Pa', per: 1e-13, step: 0.1, digits: 2 };

/** The number alone, without trailing zeros. */
export function shown(value: number, unit: ShownUnit): string {
  return String(Number((value / unit.per).toFixed(unit.digits)) + 0);
}

/** The value of what was typed, or null: a number in the shown unit (comma or point), or one with a unit of its own. */
export function understood(typed: string, unit: ShownUnit): number | null {
  const text = typed.trim().replace('−', '-');
  if (/^[+-]?(\d+([.,]\d*)?|[.,]\d+)$/.test(text)) return tidy(Number(text.replace(',', '.')) * unit.per, unit);
  if (unit.kind === undefined) return null;
  const read = parseQuantity(text, unit.kind);
  return read.ok ? tidy(read.value, unit) : null;
}

/** Sums in inches leave dust far behind the last digit a stand can follow. */
export function tidy(value: number, unit: ShownUnit): number {
  if (unit.digits === 0) return Number.isInteger(value) ? value : Number.NaN;
  return Number(value.toPrecision(9));
}

/** Why a typed number is not taken, in words; null when it is. */
export function numberTrouble(value: number | null, unit: ShownUnit, least: number, most: number): string | null {
  if (value === null) return 'This is not a number.';
  if (Number.isNaN(value)) return unit.why ?? 'Only whole numbers.';
  if (value >= least && value <= most) return null;
  const word = unit.word === '' ? '' : ` ${unit.word}`;
  const why = unit.why === undefined ? '' : ` ${unit.why}`;
  return `Between ${shown(least, unit)} and ${shown(most, unit)}${word}.${why}`;
}

/** What stands beside a field that was left with something in it that is not taken. */
export function leftWords(typed: string, trouble: string, value: number, unit: ShownUnit): string {
  const word = unit.word === '' ? '' : ` ${unit.word}`;
  return `"${typed.trim()}" was not taken; ${shown(value, unit)}${word} as before. ${trouble}`;
}
