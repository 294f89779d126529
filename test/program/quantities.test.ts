import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { formatDuration, formatLength } from '../../planner/units/format';
import { parseQuantity, writeQuantity } from '../../planner/units/quantity';
import { KINDS, type Kind, kindOf } from '../../planner/units/units';

const ALL_KINDS = Object.keys(KINDS) as Kind[];

function value(text: string, kind: Kind): number {
  const parsed = parseQuantity(text, kind);
  if (!parsed.ok) throw new Error(`${text}: ${parsed.reason}`);
  return parsed.value;
}

function reason(text: string, kind: Kind): string {
  const parsed = parseQuantity(text, kind);
  if (parsed.ok) throw new Error(`${text} was read as ${parsed.value}`);
  return parsed.reason;
}

describe('a quantity', () => {
  it.each([
    ['118 mm', 'length', 118],
    ['4.65 in', 'length', 118.11],
    ['0.1 in', 'length', 2.54],
    ['-12mm', 'length', -12],
    ['3 m', 'length', 3000],
    ['48 nm', 'length', 0.000048],
    ['0.25 µm', 'length', 0.00025],
    ['37 deg', 'angle', 37],
    ['37°', 'angle', 37],
    ['0.5 turns', 'angle', 180],
    ['2.5 rpm', 'turntableSpeed', 2.5],
    ['2.5 RPM', 'turntableSpeed', 2.5],
    ['15 deg/s', 'turntableSpeed', 2.5],
    ['45 /min', 'rate', 45],
    ['45/min', 'rate', 45],
    ['45 strokes / min', 'rate', 45],
    ['0.75 /s', 'rate', 45],
    ['6 turns', 'turns', 6],
    ['6', 'turns', 6],
    ['3 strokes', 'strokes', 3],
    ['4 min', 'duration', 240],
    ['500 ms', 'duration', 0.5],
    ['0.8 s', 'duration', 0.8],
    ['12 N', 'force', 12],
    ['1.2 kgf', 'force', 11.76798],
    ['1 lbf', 'force', 4.4482216152605],
    ['2 kPa', 'pressure', 2000],
    ['0.3 psi', 'pressure', 2068.4271879505],
    ['212 F', 'temperature', 100],
    ['-40 °F', 'temperature', -40],
    ['293.15 K', 'temperature', 20],
    ['3 m/s2', 'slideAcceleration', 3000],
    ['3 m/s²', 'slideAcceleration', 3000],
    ['3 m/s^2', 'slideAcceleration', 3000],
    ['400 mm/s', 'slideSpeed', 400],
    ['5 rpm', 'spinSpeed', 5 / 60],
    ['0.4 turns/s2', 'spinAcceleration', 0.4],
    ['144640.5 /turn', 'stepsPerTurn', 144640.5],
    ['40 steps/mm', 'stepsPerMm', 40],
    ['40 kHz', 'frequency', 40_000],
    ['10 %', 'share', 0.1],
    ['1e2 mm', 'length', 100],
    ['.5 mm', 'length', 0.5],
  ] as const)('%s is read as a %s', (text, kind, expected) => {
    expect(value(text, kind)).toBeCloseTo(expected, 9);
  });

  it('is exact where the unit is exact', () => {
    // Plain multiplication gives 76.19999999999999, 6.864654999999999 and 0.006999999999999999.
    expect(value('3.00 in', 'length')).toBe(76.2);
    expect(value('0.7 kgf', 'force')).toBe(6.864655);
    expect(value('0.7 %', 'share')).toBe(0.007);
  });

  it.each([
    ['118', 'length', /has no unit.*mm, cm, m or in/],
    ['118 deg', 'length', /"deg", the unit of an angle.*a length is wanted/],
    ['118 parsec', 'length', /unknown unit "parsec".*mm, cm, m or in/],
    ['45 mm', 'rate', /"mm", the unit of a length/],
    ['4,65 in', 'length', /not one plain number/],
    ['20 000 mm', 'length', /not one plain number/],
    ['1.2.3 mm', 'length', /not one plain number/],
    ['about 3 mm', 'length', /does not begin with a number/],
    ['NaN mm', 'length', /does not begin with a number/],
    ['Infinity mm', 'length', /does not begin with a number/],
    ['1e999 mm', 'length', /too large/],
    ['   ', 'length', /is empty/],
    ['0.4 kg', 'force', /gives a mass.*0\.4 kgf or 4 N/],
    [`${'1'.repeat(80)} mm`, 'length', /too long/],
    ['6 rpm', 'turns', /in turns, or the number alone/],
  ] as const)('%s is refused as a %s in words that name the units', (text, kind, words) => {
    expect(reason(text, kind)).toMatch(words);
    expect(reason(text, kind)).toContain(kindOf(kind).words);
  });

  it('comes back exactly from what is written into files', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...ALL_KINDS),
        fc.double({ noNaN: true, noDefaultInfinity: true }),
        (kind, number) => {
          expect(value(writeQuantity(number, kind), kind)).toBe(number === 0 ? 0 : number);
        },
      ),
      { seed: 20, numRuns: 2000 },
    );
  });

  it('means the same in every unit of its kind', () => {
    const cases = ALL_KINDS.flatMap((kind) => Object.keys(kindOf(kind).units).map((unit) => ({ kind, unit })));
    fc.assert(
      fc.property(
        fc.constantFrom(...cases),
        fc.integer({ min: -99_999, max: 99_999 }),
        fc.integer({ min: 0, max: 4 }),
        (each, n, d) => {
          const { times, over, zero = 0 } = kindOf(each.kind).units[each.unit]!;
          const expected = ((n / 10 ** d - zero) * times) / over;
          const read = value(`${(n / 10 ** d).toFixed(d)} ${each.unit}`, each.kind);
          expect(Math.abs(read - expected)).toBeLessThanOrEqual(1e-12 * Math.abs(expected));
        },
      ),
      { seed: 21, numRuns: 2000 },
    );
  });

  it('never throws on any text', () => {
    fc.assert(
      fc.property(fc.constantFrom(...ALL_KINDS), fc.string({ unit: 'binary', maxLength: 80 }), (kind, text) => {
        const parsed = parseQuantity(text, kind);
        expect(parsed.ok ? Number.isFinite(parsed.value) : parsed.reason.length > 0).toBe(true);
      }),
      { seed: 22, numRuns: 3000 },
    );
  });
});

describe('lengths and times for people', () => {
  it.each([
    [118, 'mm', '118 mm'],
    [118.11, 'mm', '118.1 mm'],
    [118.11, 'inch', '4.65 in'],
    [-0.01, 'mm', '0 mm'],
    [-7.94, 'mm', '-7.9 mm'],
  ] as const)('%d is shown in %s as %s', (lengthMm, system, shown) => {
    expect(formatLength(lengthMm, system)).toBe(shown);
  });

  it.each([
    [47.6, '48 s'],
    [59.6, '1 min'],
    [264, '4 min 24 s'],
    [240, '4 min'],
    [3599.7, '1 h'],
    [7500, '2 h 5 min'],
  ] as const)('%d seconds are shown as %s', (seconds, shown) => {
    expect(formatDuration(seconds)).toBe(shown);
  });
});
