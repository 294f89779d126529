/** Reductions against other people's numerics: surfaces integrated from readings by scipy's ODE solver. */
import { describe, expect, it } from 'vitest';
import { weightedFit } from '../../planner/figure/cholesky';
import { areaShares } from '../../planner/figure/grid';
import type { SourceKind } from '../../planner/figure/knife-edge';
import { reduce } from '../../planner/figure/reduce';
import { equalWindows, readingsOf, softRings, testGlass } from '../figure/synthetic';
import { python } from './stamping';

const glass = testGlass();
const AT = Float64Array.from({ length: 151 }, (_, i) => (i / 150) * 100);

/** Without the focus that a reading's zero leaves open. */
function bestFit(heights: ArrayLike<number>): Float64Array {
  const columns = [AT.map(() => 1), AT.map((r) => (r / 100) ** 2)];
  const [piston, focus] = weightedFit(columns, heights, areaShares(AT));
  return AT.map((r, i) => heights[i]! - piston! - focus! * (r / 100) ** 2);
}

describe('readings integrated by scipy', () => {
  const rows: [string, SourceKind, number, Parameters<typeof softRings>[0]][] = [
    ['a conic', 'moving', -0.9, []],
    ['a conic', 'fixed', -1.1, []],
    ['a raised ring', 'moving', -1, [{ radiusMm: 60, widthMm: 40, heightNm: 60 }]],
    [
      'a hole and a ring on a conic',
      'fixed',
      -0.95,
      [
        { radiusMm: 0, widthMm: 45, heightNm: -30 },
        { radiusMm: 75, widthMm: 35, heightNm: 40 },
      ],
    ],
  ];

  it.each(rows)('%s, %s source', (_, source, conicConstant, list) => {
    const truth = { radiusMm: 2400, conicConstant };
    const fine = equalWindows(80, 0, 100);
    const aimed = fine.map((window) => ({ ...window, atMm: (window.fromMm + window.toMm) / 2 }));
    const dense = readingsOf(glass, truth, softRings(list), aimed, { source });
    const ask = {
      radius: 2400,
      conic: -1,
      radii: aimed.map((window) => window.atMm),
      readings: dense.takes[0]!.readingMm,
      at: [...AT],
      fixed: source === 'fixed',
    };
    const [heights] = python<number[]>('figure_surface.py', JSON.stringify(ask));
    const reference = bestFit(heights!);
    const figure = reduce(readingsOf(glass, truth, softRings(list), equalWindows(30, 0, 100), { source, zeroMm: 2 }));
    figure.surfaceNm.forEach((height, i) => {
      expect(Math.abs(height - reference[i]!)).toBeLessThan(0.5);
    });
  });
});
