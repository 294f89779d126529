/** Reading and writing one quantity: a number with its unit in the same text. */
import { KINDS, type Kind, kindOf, MASS_UNITS, type Unit } from './units';

export type Parsed = { ok: true; value: number; unit: string } | { ok: false; reason: string };

const NUMBER_THEN_UNIT = /^([+-]?)(\d+\.?\d*|\.\d+)(?:[eE]([+-]?\d{1,3})(?![\w.]))?\s*(.*)$/s;
const LONGEST = 60;

/**
 * Reads text such as `118 mm`, `4.65 in`, `45 /min` and gives the value in the kind's own unit (`KINDS[kind].base`;
 * mm, deg, rpm, per minute, seconds, N, Pa, degrees Celsius ...). Never throws: what cannot be read comes back as a
 * reason in words that names the units accepted. The value is finite; a sign is kept, so ranges are for the caller to
 * judge.
 */
export function parseQuantity(text: string, kind: Kind): Parsed {
  const written = text.trim();
  if (written === '') return refuse(`is empty; ${wanted(kind)}`);
  if (written.length > LONGEST) return refuse(`is too long for a quantity; ${wanted(kind)}`);
  const parts = NUMBER_THEN_UNIT.exec(written);
  if (!parts) return refuse(`does not begin with a number; ${wanted(kind)}`);
  const [, sign, digits, exponent, tail] = parts as unknown as [string, string, string, string | undefined, string];
  if (/^[.,]?\d|^,|^\./.test(tail))
    return refuse(`is not one plain number; write it like 1234.5, without commas; ${wanted(kind)}`);
  const name = unitName(tail, kind);
  if (name === null) return refuse(`${unitTrouble(tail, kind)}; ${wanted(kind)}`);
  const value = inBaseUnit(sign === '-', digits, Number(exponent ?? 0), kindOf(kind).units[name] as Unit);
  if (!Number.isFinite(value)) return refuse(`is too large a number; ${wanted(kind)}`);
  return { ok: true, value: value === 0 ? 0 : value, unit: name };
}

/** The units a person may write for this kind, as words for a complaint. */
export function wanted(kind: Kind): string {
  const { words, shown, units } = kindOf(kind);
  const bare = units[''] ? ', or the number alone' : '';
  return `${words} is wanted here, in ${listed(shown)}${bare}`;
}

/** `a, b or c` */
export function listed(words: readonly string[]): string {
  return words.length < 2 ? words.join('') : `${words.slice(0, -1).join(', ')} or ${words[words.length - 1]}`;
}

function inBaseUnit(negative: boolean, digits: string, exponent: number, unit: Unit): number {
  if (unit.zero !== undefined) {
    const written = Number(`${negative ? '-' : ''}${digits}e${exponent}`);
    return ((written - unit.zero) * unit.times) / unit.over;
  }
  return (negative ? -1 : 1) * scaled(digits, exponent, unit);
}

/**
 * Multiplies as whole numbers and divides once, which is correctly rounded as long as both fit a double exactly; plain
 * arithmetic otherwise.
 */
function scaled(digits: string, exponent: number, unit: Unit): number {
  const [whole = '', fraction = ''] = digits.split('.');
  const mantissa = Number(whole + fraction);
  const tens = exponent - fraction.length;
  const top = mantissa * unit.times * (tens > 0 ? 10 ** tens : 1);
  const bottom = unit.over * (tens < 0 ? 10 ** -tens : 1);
  const exact = Number.isSafeInteger(mantissa) && top <= Number.MAX_SAFE_INTEGER && bottom <= Number.MAX_SAFE_INTEGER;
  return exact ? top / bottom : (Number(`${digits}e${exponent}`) * unit.times) / unit.over;
}

function tidy(unit: string): string {
  return unit
    .trim()
    .replace(/[\u00b5\u03bc]/g, 'u')
    .replace(/\u00b2|\^2/g, '2')
    .replace(/\s*\/\s*/g, '/')
    .replace(/\s+/g, ' ');
}

function unitName(written: string, kind: Kind): string | null {
  const name = tidy(written);
  const names = Object.keys(kindOf(kind).units);
  if (names.includes(name)) return name;
  // Only units that no other spelling of the same letters could mean: RPM, PSI, IN.
  const alike = names.filter((known) => known.toLowerCase() === name.toLowerCase());
  return alike.length === 1 ? (alike[0] as string) : null;
}

function unitTrouble(written: string, kind: Kind): string {
  const name = tidy(written);
  if (name === '') return 'has no unit';
  if (kind === 'force' && MASS_UNITS.has(name))
    return `gives a mass ("${name}"); write its weight, e.g. 0.4 kgf or 4 N`;
  // "turns" measure angles too, but whoever writes them means to count: the kind that is kept in this unit goes first.
  const others = (Object.keys(KINDS) as Kind[]).filter(
    (each) => each !== kind && Object.hasOwn(kindOf(each).units, name),
  );
  const other = others.find((each) => kindOf(each).base === name) ?? others[0];
  return other ? `is in "${name}", the unit of ${kindOf(other).words}` : `has an unknown unit "${name.slice(0, 20)}"`;
}

function refuse(reason: string): Parsed {
  return { ok: false, reason };
}

/** Text that `parseQuantity` reads back to exactly the same value; in the kind's own unit. For files. */
export function writeQuantity(value: number, kind: Kind): string {
  return `${value} ${kindOf(kind).base}`.trim();
}
