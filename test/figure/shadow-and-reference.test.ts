import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { askedConic } from '../../planner/figure/conic';
import { evenRadii } from '../../planner/figure/grid';
import { reduce } from '../../planner/figure/reduce';
import { referenceLine } from '../../planner/figure/reference';
import { reduceReport } from '../../planner/figure/report';
import { evenGreyMm, shadowPicture } from '../../planner/figure/shadow';
import { equalWindows, readingsOf, rings, testGlass } from './synthetic';

describe('the highest reference under a surface', () => {
  const shape = evenRadii(0, 1).map((r) => r * r);
  const area = shape.map(() => 1);

  it('nowhere stands above it, touches it twice or bends over its lowest place, and no line higher in the mean does', () => {
    const waves = fc.array(
      fc.tuple(fc.double({ min: -50, max: 50, noNaN: true }), fc.double({ min: 1, max: 12, noNaN: true })),
      {
        minLength: 1,
        maxLength: 5,
      },
    );
    fc.assert(
      fc.property(waves, (list) => {
        const surface = shape.map((t) => list.reduce((sum, [height, rate]) => sum + height * Math.cos(rate * t), 0));
        const { pistonNm, focus } = referenceLine('highest under', shape, surface, area);
        const gap = surface.map((h, i) => h - pistonNm - focus * shape[i]!);
        expect(Math.min(...gap)).toBeGreaterThan(-1e-9);
        const mean = shape.reduce((sum, t) => sum + t, 0) / shape.length;
        const height = pistonNm + focus * mean;
        // Any other slope through the same mean height, or higher, must cut the surface.
        for (const turn of [-20, -1, -0.01, 0.01, 1, 20]) {
          const other = surface.map((h, i) => h - height - 1e-6 - (focus + turn) * (shape[i]! - mean));
          expect(Math.min(...other)).toBeLessThan(0);
        }
      }),
      { numRuns: 100, seed: 3 },
    );
  });
});

describe('a figure', () => {
  const glass = testGlass();
  const figureOf = (kind: 'best fit' | 'highest under') =>
    reduce(
      readingsOf(
        glass,
        askedConic(glass),
        rings([{ radiusMm: 60, widthMm: 40, heightNm: 50 }]),
        equalWindows(12, 0, 100),
        {},
      ),
      kind,
    );

  it('over the highest reference under it is nowhere negative where measured', () => {
    const { surfaceNm, area } = figureOf('highest under');
    surfaceNm.forEach((height, i) => {
      if (area[i]! > 0) expect(height).toBeGreaterThan(-1e-9);
    });
  });

  it('has the same Strehl ratio and slopes whatever the reference: an eyepiece is focused', () => {
    const [best, under] = [figureOf('best fit'), figureOf('highest under')];
    expect(under.strehl).toBeCloseTo(best.strehl, 12);
    expect(under.transverseRelative).toEqual(best.transverseRelative);
    expect(best.strehl).toBeLessThan(1);
  });

  it('is reported under the agreed names', () => {
    const report = reduceReport(figureOf('best fit'));
    expect(report.wavefrontPvWaves).toBeCloseTo((2 * report.pvNm) / 550, 12);
    expect(report.radiusMm.length).toBe(report.surfaceNm.length);
    expect(report.bandNm.length).toBe(report.surfaceNm.length);
    expect(report.transverseRelative.length).toBe(report.surfaceNm.length);
    expect(report.reference).toBe('best fit');
    expect(report.findings.every((words) => typeof words === 'string')).toBe(true);
  });
});

describe('the shadow picture', () => {
  const glass = testGlass();
  const level = reduce(
    readingsOf(
      { ...glass, conicConstant: 0 },
      { radiusMm: 2400, conicConstant: 0 },
      rings([]),
      equalWindows(12, 0, 100),
      {},
    ),
  );
  const settings = { source: 'moving' as const, slitMm: 0.02, pixels: 41 };
  const at = (picture: Float32Array, x: number, y: number): number => {
    const column = Math.round(((x / 100 + 1) * 41 - 1) / 2);
    const row = Math.round(((1 - y / 100) * 41 - 1) / 2);
    return picture[row * 41 + column]!;
  };

  it('of a sphere is evenly grey with the knife at its centre', () => {
    const picture = shadowPicture(level, { ...settings, knifeMm: 0 });
    for (const x of [-90, -40, 0, 40, 90]) expect(at(picture, x, 10)).toBeCloseTo(0.5, 3);
    expect(at(picture, 99, 60)).toBe(-1);
  });

  it('of a sphere darkens on one side inside the centre and on the other outside it', () => {
    const inside = shadowPicture(level, { ...settings, knifeMm: -0.5 });
    const outside = shadowPicture(level, { ...settings, knifeMm: 0.5 });
    expect(at(inside, 60, 0)).toBeLessThan(0.1);
    expect(at(inside, -60, 0)).toBeGreaterThan(0.9);
    expect(at(outside, 60, 0)).toBeGreaterThan(0.9);
    expect(at(outside, -60, 0)).toBeLessThan(0.1);
  });

  it('of a paraboloid is grey at the zone whose reading the knife stands at, on both sides', () => {
    const paraboloid = reduce(readingsOf(glass, askedConic(glass), rings([]), equalWindows(12, 0, 100), {}));
    const r = 70;
    const picture = shadowPicture(paraboloid, { ...settings, slitMm: 0.5, knifeMm: (r * r) / 4800 });
    // Nearest pixels lie within 2.5 mm.
    expect(Math.abs(at(picture, r, 0) - 0.5)).toBeLessThan(0.01);
    expect(Math.abs(at(picture, -r, 0) - 0.5)).toBeLessThan(0.01);
    expect(at(picture, 40, 0)).toBeGreaterThan(0.501);
    expect(at(picture, 95, 0)).toBeLessThan(0.499);
  });

  it('balances best where most of the glass reads', () => {
    const paraboloid = reduce(readingsOf(glass, askedConic(glass), rings([]), equalWindows(12, 0, 100), {}));
    // Weighted with r^2 the mean of r^2 over a disc is two thirds of the rim's.
    expect(evenGreyMm(paraboloid, 'moving')).toBeCloseTo((2 / 3) * (100 ** 2 / 4800), 2);
  });
});
