/** The solvers of suggestions against scipy's: non-negative least squares, and whole numbers. */
import { describe, expect, it } from 'vitest';
import { fitNonNegative } from '../../planner/suggest/least-squares';
import { type LinearModel, loadSolver } from '../../planner/suggest/milp';
import { seeded } from '../support/random';
import { python } from './stamping';

describe('non-negative least squares against scipy', () => {
  it('leaves the same residual in 120 problems, most of them with columns that hardly differ', () => {
    const random = seeded(17);
    const problems = Array.from({ length: 120 }, () => {
      const rows = 5 + Math.floor(60 * random());
      const count = 3 + Math.floor(80 * random());
      const width = 2 + 15 * random();
      const columns = Array.from({ length: count }, (_, j) =>
        Array.from({ length: rows }, (_, i) => Math.exp(-(((i - (j * rows) / count) / width) ** 2)) + 0.01 * random()),
      );
      const b = Array.from({ length: rows }, () => 50 * random() - 10);
      return { kind: 'nnls', columns, b };
    });
    const found = python<{ x: number[]; left: number }>(
      'suggest_solvers.py',
      problems.map((one) => JSON.stringify(one)).join('\n'),
    );
    expect(found.length).toBe(problems.length);
    problems.forEach(({ columns, b }, i) => {
      const fit = fitNonNegative(
        columns.map((column) => Float64Array.from(column)),
        Float64Array.from(b),
      );
      expect(fit.certificate.holds).toBe(true);
      expect(Math.abs(fit.residualNorm - found[i]!.left)).toBeLessThan(1e-8 * Math.hypot(...b));
    });
  });
});

describe('whole numbers against scipy', () => {
  it('cost the same in 40 small problems, to the gap the search is ended at', async () => {
    const solver = await loadSolver();
    const random = seeded(23);
    const problems = Array.from({ length: 40 }, () => {
      const size = 3 + Math.floor(5 * random());
      const count = 3 + Math.floor(4 * random());
      const rows = Array.from({ length: count }, () => Array.from({ length: size }, () => Math.floor(9 * random())));
      return {
        kind: 'milp',
        cost: Array.from({ length: size }, () => 1 + Math.floor(20 * random())),
        rows,
        least: rows.map(() => 10 + Math.floor(60 * random())),
        most: rows.map(() => null),
        lower: Array.from({ length: size }, () => 0),
        upper: Array.from({ length: size }, () => 40),
        whole: Array.from({ length: size }, () => (random() < 0.7 ? 1 : 0)),
      };
    });
    const found = python<{ status: number; cost: number | null }>(
      'suggest_solvers.py',
      problems.map((one) => JSON.stringify(one)).join('\n'),
    );
    problems.forEach(({ cost, rows, least, upper, whole }, i) => {
      const name = (j: number): string => `x${j}`;
      const model: LinearModel = {
        objective: Object.fromEntries(cost.map((value, j) => [name(j), value])),
        rows: rows.map((row, k) => ({
          terms: Object.fromEntries(row.map((value, j) => [name(j), value])),
          least: least[k]!,
        })),
        bounds: Object.fromEntries(upper.map((most, j) => [name(j), { least: 0, most }])),
        whole: whole.flatMap((is, j) => (is === 1 ? [name(j)] : [])),
        yesOrNo: [],
      };
      const answer = solver(model, 30);
      const reference = found[i]!;
      expect(answer === null).toBe(reference.cost === null);
      if (answer === null || reference.cost === null) return;
      expect(answer.objective).toBeGreaterThanOrEqual(reference.cost - 1e-6);
      expect(answer.objective).toBeLessThanOrEqual(1.02 * reference.cost + 1e-6);
      model.whole.forEach((whole) => {
        expect(Math.abs(answer.values[whole]! - Math.round(answer.values[whole]!))).toBeLessThan(1e-6);
      });
    });
  });
});
