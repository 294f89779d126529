/** Zernike polynomials: orders against the lists of the OEIS, values, orthonormality, and what they mean for a surface. */
import { describe, expect, it } from 'vitest';
import { areaShares, evenRadii } from '../../planner/figure/grid';
import { peakToValleyNm, rmsNm, strehl } from '../../planner/figure/quality';
import { indexOf, type Term, termOf, zernikeValue } from '../../planner/figure/zernike';

/** OEIS A375779: ANSI index of Noll's 1 .. 28. */
const A375779 = [0, 2, 1, 4, 3, 5, 7, 8, 6, 9, 12, 13, 11, 14, 10, 18, 17, 19, 16, 20, 15, 24, 23, 25, 22, 26, 21, 27];
/** OEIS A176988: Noll's index by n, m = -n, -n + 2 .. n. */
const A176988 = [
  [1],
  [3, 2],
  [5, 4, 6],
  [9, 7, 8, 10],
  [15, 13, 11, 12, 14],
  [21, 19, 17, 16, 18, 20],
  [27, 25, 23, 22, 24, 26, 28],
];
/** OEIS A375510: fringe index in the same arrangement. */
const A375510 = [[1], [3, 2], [6, 4, 5], [11, 8, 7, 10], [18, 13, 9, 12, 17]];

describe('orders', () => {
  it('Noll to ANSI is A375779', () => {
    expect(A375779.map((_, i) => indexOf('ansi', termOf('noll', i + 1)!))).toEqual(A375779);
  });

  it.each([
    ['noll', A176988],
    ['fringe', A375510],
  ] as const)('%s by degree', (order, triangle) => {
    const made = triangle.map((row, n) => row.map((_, i) => indexOf(order, { n, m: 2 * i - n })));
    expect(made).toEqual(triangle);
  });

  it.each(['noll', 'fringe', 'ansi'] as const)('%s: index and term belong together', (order) => {
    for (let index = order === 'ansi' ? 0 : 1; index < 500; index++) {
      const term = termOf(order, index)!;
      expect(term.n - Math.abs(term.m)).toBeGreaterThanOrEqual(0);
      expect((term.n - Math.abs(term.m)) % 2).toBe(0);
      expect(indexOf(order, term)).toBe(index);
    }
    expect(termOf(order, -1)).toBeNull();
    expect(termOf(order, 3.5)).toBeNull();
  });
});

describe('values', () => {
  it("Noll's 1 .. 15 at rho = 0.6, 30 degrees (computed from the closed forms)", () => {
    const values = [
      1, 1.039230484541, 0.6, -0.484974226119, 0.763675323681, 0.440908153701, -0.78064588643, -1.352118338016,
      0.610940258945, 0, -0.855072394596, -0.887967566975, -1.538004941475, -0.204915592379, 0.354924217263,
    ];
    values.forEach((value, i) => {
      expect(zernikeValue(termOf('noll', i + 1)!, 0.6, Math.PI / 6)).toBeCloseTo(value, 11);
    });
  });

  it('the Gram matrix of the first 21 is the unit matrix', () => {
    const rule = legendre(12);
    const angles = 40;
    const terms: Term[] = Array.from({ length: 21 }, (_, i) => termOf('noll', i + 1)!);
    for (const a of terms) {
      for (const b of terms) {
        let sum = 0;
        for (const { x, w } of rule) {
          const rho = Math.sqrt((x + 1) / 2);
          for (let k = 0; k < angles; k++) {
            const theta = (2 * Math.PI * k) / angles;
            sum += ((w / 2) * zernikeValue(a, rho, theta) * zernikeValue(b, rho, theta)) / angles;
          }
        }
        expect(Math.abs(sum - (a === b ? 1 : 0))).toBeLessThan(1e-13);
      }
    }
  });
});

describe('figures of merit', () => {
  const radii = evenRadii(0, 1);
  const area = areaShares(radii);
  const of = (height: (rho: number) => number): Float64Array => radii.map(height);

  it('highest minus lowest over rms: defocus 3.4641, primary spherical 3.3541, secondary spherical 5.2915', () => {
    const rows: [Term, number][] = [
      [{ n: 2, m: 0 }, 2 * Math.sqrt(3)],
      [{ n: 4, m: 0 }, 1.5 * Math.sqrt(5)],
      [{ n: 6, m: 0 }, 2 * Math.sqrt(7)],
    ];
    for (const [term, ratio] of rows) {
      const heights = of((rho) => zernikeValue(term, rho, 0));
      expect(Math.abs(peakToValleyNm(heights) / rmsNm(heights, area) / ratio - 1)).toBeLessThan(1e-3);
    }
  });

  it('Strehl is exact: defocus of a quarter wave 0.8105694691, best-focus spherical 0.8003047962', () => {
    // Heights on the glass are half the wavefront.
    const wave = 500;
    expect(
      strehl(
        of((rho) => (wave / 8) * rho ** 2),
        area,
        wave,
      ),
    ).toBeCloseTo(0.8105694691, 4);
    expect(
      strehl(
        of((rho) => (wave / 2) * (rho ** 4 - rho ** 2)),
        area,
        wave,
      ),
    ).toBeCloseTo(0.8003047962, 4);
    const sigmas = [0.03, 0.05, 1 / 14, 0.1, 0.15];
    const exact = [0.9650061621, 0.9053872618, 0.815200906, 0.6663931842, 0.3899642009];
    sigmas.forEach((sigma, i) => {
      const heights = of((rho) => ((sigma * 6 * Math.sqrt(5) * wave) / 2) * (rho ** 4 - rho ** 2));
      expect(strehl(heights, area, wave)).toBeCloseTo(exact[i]!, 4);
    });
  });

  it('Marechal at lambda / 14 is not what it gives: the ratio there is 0.815, not 0.80', () => {
    const heights = of((rho) => ((6 * Math.sqrt(5) * 500) / 28) * (rho ** 4 - rho ** 2));
    const ratio = strehl(heights, area, 500);
    expect(Math.abs(ratio - 0.7985795)).toBeGreaterThan(0.01);
  });
});

/** Gauss-Legendre nodes by Newton's method. */
function legendre(count: number): { x: number; w: number }[] {
  return Array.from({ length: count }, (_, i) => {
    let x = Math.cos((Math.PI * (i + 0.75)) / (count + 0.5));
    let slope = 0;
    for (let round = 0; round < 50; round++) {
      let p0 = 1;
      let p1 = x;
      for (let k = 2; k <= count; k++) [p0, p1] = [p1, ((2 * k - 1) * x * p1 - (k - 1) * p0) / k];
      slope = (count * (x * p1 - p0)) / (x * x - 1);
      x -= p1 / slope;
    }
    return { x, w: 2 / ((1 - x * x) * slope * slope) };
  });
}
