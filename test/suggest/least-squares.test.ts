import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { fitNonNegative } from '../../planner/suggest/least-squares';

describe('non-negative least squares', () => {
  const sized = fc.record({ rows: fc.integer({ min: 1, max: 25 }), columns: fc.integer({ min: 1, max: 40 }) });
  const problem = sized.chain(({ rows, columns }) => {
    // Noughts and equal numbers are frequent here; nothing is smaller than a thousandth, as no depth is.
    const number = fc.oneof(
      fc.integer({ min: -3, max: 3 }),
      fc.integer({ min: -10_000, max: 10_000 }).map((v) => v / 1000),
    );
    const vector = fc.array(number, { minLength: rows, maxLength: rows });
    return fc.record({ columns: fc.array(vector, { minLength: columns, maxLength: columns }), b: vector });
  });

  it('proves every answer: no column would gain, none in use is steep, none is negative', () => {
    fc.assert(
      fc.property(problem, ({ columns, b }) => {
        const fit = fitNonNegative(
          columns.map((column) => Float64Array.from(column)),
          Float64Array.from(b),
        );
        expect(fit.certificate.holds).toBe(true);
      }),
      { numRuns: 300, seed: 12 },
    );
  });

  it('is at home with columns that hardly differ', () => {
    // Neighbouring settings of a lap: bumps a hundredth of their width apart.
    const columns = Array.from({ length: 200 }, (_, j) =>
      Float64Array.from({ length: 100 }, (_, i) => Math.exp(-(((i - 20 - j * 0.3) / 12) ** 2))),
    );
    const b = Float64Array.from({ length: 100 }, (_, i) => 50 * Math.exp(-(((i - 52.37) / 14) ** 2)) + (i % 7));
    const fit = fitNonNegative(columns, b);
    expect(fit.certificate.holds).toBe(true);
    expect(fit.x.every((turns) => turns >= 0)).toBe(true);
  });

  it('answers nothing for a target below nought, and leaves columns of zeros alone', () => {
    const columns = [Float64Array.of(1, 2), Float64Array.of(0, 0)];
    expect([...fitNonNegative(columns, Float64Array.of(-1, -1)).x]).toEqual([0, 0]);
    expect(fitNonNegative(columns, Float64Array.of(2, 4)).x[1]).toBe(0);
  });
});
