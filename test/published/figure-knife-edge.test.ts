/**
 * Knife-edge readings and the surfaces behind them, against closed forms and tables that were not made with this code.
 * The tables were computed from the exact conics with 25 digits; the forms themselves are classical (first-order forms y^2/(2R)
 * and y^2/R are printed in many places; the exact second term r^4/(2 R^3) and R - K z by elementary geometry).
 */
import { describe, expect, it } from 'vitest';
import { type Conic, normalCrossingMm, sagMm, slopeOf } from '../../planner/figure/conic';
import { readingAtMm, type SourceKind, type ZoneWindow } from '../../planner/figure/knife-edge';
import { reduce } from '../../planner/figure/reduce';
import { equalWindows, readingsOf, rings, testGlass } from '../figure/synthetic';

const LEVEL = rings([]);

function reading(conic: Conic, rMm: number, source: SourceKind): number {
  return readingAtMm(sagMm(conic, rMm), slopeOf(conic, rMm), rMm, conic.radiusMm, source);
}

/** Diameter 200, R 2400, four zones of equal area: mean radius, moving, fixed. */
const PARABOLOID = [
  [25.0, 0.130208333, 0.260430795],
  [60.3553391, 0.758909782, 1.51829952],
  [78.6566092, 1.28892962, 2.57924369],
  [93.3012702, 1.81356813, 3.62987712],
  [35.3553391, 0.260416667, 0.520889847],
  [93.5414347, 1.82291667, 3.64860252],
] as const;

describe('readings of a conic', () => {
  it.each(PARABOLOID)('paraboloid at %f mm', (r, moving, fixed) => {
    const conic = { radiusMm: 2400, conicConstant: -1 };
    expect(reading(conic, r, 'moving')).toBeCloseTo(moving, 8);
    expect(reading(conic, r, 'fixed')).toBeCloseTo(fixed, 7);
    expect(reading(conic, r, 'moving')).toBeCloseTo(r ** 2 / 4800, 10);
    expect(reading(conic, r, 'fixed')).toBeCloseTo(r ** 2 / 2400 + r ** 4 / (2 * 2400 ** 3), 10);
  });

  it('every conic has its normal cross the axis at R - K z', () => {
    for (const conicConstant of [-2.5, -1.0139, -1, -0.9, 0, 0.7]) {
      const conic = { radiusMm: 1500, conicConstant };
      for (const r of [10, 80, 190]) {
        const crossing = sagMm(conic, r) + r / slopeOf(conic, r);
        expect(normalCrossingMm(conic, r)).toBeCloseTo(crossing, 9);
      }
    }
  });

  it('a sphere sends every ray back: both readings are 0 everywhere', () => {
    const sphere = { radiusMm: 2400, conicConstant: 0 };
    for (const r of [5, 50, 100]) {
      expect(reading(sphere, r, 'moving')).toBeCloseTo(0, 9);
      expect(reading(sphere, r, 'fixed')).toBeCloseTo(0, 9);
    }
  });

  it('K = -0.9, exact ray geometry', () => {
    const conic = { radiusMm: 2400, conicConstant: -0.9 };
    const rows = [
      [35.35534, 0.234376284, 0.468798344],
      [60.35534, 0.683029624, 1.36644801],
      [78.6566, 1.16006754, 2.32125648],
      [93.3013, 1.63227403, 3.26676816],
    ] as const;
    for (const [r, moving, fixed] of rows) {
      expect(reading(conic, r, 'moving')).toBeCloseTo(moving, 7);
      expect(reading(conic, r, 'fixed')).toBeCloseTo(fixed, 7);
    }
  });

  it('caustic of the paraboloid: the centre of curvature of zone r lies 3 r^2 / (2R) and r^3 / R^2 from that of the vertex', () => {
    // The evolute is the envelope of the normals; its point on the normal at r is where neighbouring normals meet.
    const conic = { radiusMm: 2400, conicConstant: -1 };
    const rows = [
      [100, 6.25, 0.173611111],
      [50, 1.5625, 0.0217013889],
    ] as const;
    for (const [r, axial, lateral] of rows) {
      const h = 1e-3;
      const crossing = (at: number): number => normalCrossingMm(conic, at);
      const lean = (at: number): number => slopeOf(conic, at);
      // Normal: x = crossing - y / slope' with y measured from the axis; two of them meet at y.
      const y = (crossing(r + h) - crossing(r - h)) / (1 / lean(r + h) - 1 / lean(r - h));
      const x = crossing(r) - y / lean(r);
      expect(x - 2400).toBeCloseTo(axial, 5);
      expect(Math.abs(y)).toBeCloseTo(lateral, 6);
    }
  });
});

describe('surfaces from readings', () => {
  const edges = [0, 50, 70.71067811865476, 86.60254037844386, 100];
  const at = [35.35534, 60.35534, 78.6566, 93.3013];
  const couder: ZoneWindow[] = at.map((atMm, i) => ({ fromMm: edges[i]!, toMm: edges[i + 1]!, atMm }));

  it.each(['moving', 'fixed'] as const)('K = -0.9 against K = -1, %s source: 22.6056 nm, rms 6.7397 nm', (source) => {
    const truth = { radiusMm: 2400, conicConstant: -0.9 };
    const figure = reduce(readingsOf(testGlass(), truth, LEVEL, couder, { source, zeroMm: 3.7 }));
    // The two numbers are the leading term (1 + K) r^4 / (8 R^3); the exact conics give 22.6128 and 6.7436 nm.
    expect(figure.pvNm).toBeGreaterThan(22.6056 - 0.01);
    expect(figure.pvNm).toBeLessThan(22.6056 + 0.01);
    expect(Math.abs(figure.rmsNm - 6.7396918)).toBeLessThan(0.005);
    expect(figure.conicConstant).toBeCloseTo(-0.9, 4);
    const correction = figure.findings.find((finding) => finding.kind === 'correction');
    expect(correction?.words).toMatch(/^Under-corrected/);
    expect(correction?.words).toContain('90 %');
  });

  /** Diameter, focal ratio, height of the sphere's rim over the paraboloid with the same vertex radius, nm. */
  const SPHERES = [
    [114, 8, 217.5439798],
    [152.4, 8, 290.8219519],
    [200, 6, 905.0103069],
    [250, 5, 1955.570228],
    [300, 4, 4586.599303],
  ] as const;

  it.each(SPHERES)('a sphere of %f mm f/%f stands %f nm above the paraboloid at the rim', (diameter, ratio, rimNm) => {
    const glass = testGlass({
      diameterMm: diameter,
      clearApertureMm: diameter,
      radiusOfCurvatureMm: 2 * diameter * ratio,
    });
    const sphere = { radiusMm: glass.radiusOfCurvatureMm, conicConstant: 0 };
    const windows = equalWindows(12, 0, diameter / 2);
    for (const source of ['moving', 'fixed'] as const) {
      const figure = reduce(readingsOf(glass, sphere, LEVEL, windows, { source }), 'same vertex radius');
      const height = figure.surfaceNm[figure.surfaceNm.length - 1]!;
      expect(Math.abs(height - rimNm)).toBeLessThan(2e-4 * rimNm);
      // Best focus: a quarter of it on the glass, the wavefront D / (2048 F^3).
      const best = reduce(readingsOf(glass, sphere, LEVEL, windows, { source }));
      const wavefrontNm = (diameter * 1e6) / (2048 * ratio ** 3);
      expect(Math.abs(2 * best.pvNm - wavefrontNm)).toBeLessThan(0.004 * wavefrontNm);
    }
  });

  it('the quarter-wave sphere of 152.4 mm has F = 8.14925 at 550 nm', () => {
    const radiusOfCurvatureMm = 2 * 152.4 * 8.14925;
    const glass = testGlass({ diameterMm: 152.4, clearApertureMm: 152.4, radiusOfCurvatureMm });
    const sphere = { radiusMm: radiusOfCurvatureMm, conicConstant: 0 };
    const figure = reduce(readingsOf(glass, sphere, LEVEL, equalWindows(10, 0, 76.2), {}));
    expect(Math.abs(figure.wavefrontPvWaves - 0.25)).toBeLessThan(5e-4);
  });

  it('a reading too long by d means a ray that misses the focus by d r / R (moving source)', () => {
    const truth = { radiusMm: 2400, conicConstant: -0.9 };
    const figure = reduce(readingsOf(testGlass(), truth, LEVEL, equalWindows(10, 0, 100), {}));
    // Airy radius for f/6 at 550 nm: 4.0249106 um. Best focus of 0.1 (rho^4 - rho^2) h: slope at the rim 2 h / a.
    const edge = figure.transverseRelative[figure.transverseRelative.length - 1]!;
    const slope = (2 * 90.422454e-6) / 100;
    expect(Math.abs(edge - (2 * slope * 1200) / 4.0249106e-3)).toBeLessThan(0.003);
  });
});

describe('the Hubble primary mirror', () => {
  // Diameter 2.4 m, R 11.04 m, design K -1.0022985, as made -1.0139 (recalled); edge too flat by about 2.2 um (published in many
  // places; conic retrieved -1.0144: Fienup, Marron, Schulz, Seldin, Applied Optics 32, 1747, 1993).
  const glass = testGlass({
    diameterMm: 2400,
    clearApertureMm: 2400,
    radiusOfCurvatureMm: 11_040,
    conicConstant: -1.0022985,
  });
  const made = { radiusMm: 11_040, conicConstant: -1.0139 };
  const measured = readingsOf(glass, made, LEVEL, equalWindows(16, 0, 1200), { source: 'moving' });

  it('its edge lies 2.2 um low with the same vertex radius', () => {
    const figure = reduce(measured, 'same vertex radius');
    const edge = figure.surfaceNm[figure.surfaceNm.length - 1]!;
    // Exact conics: -2234.6 nm (computed).
    expect(edge).toBeLessThan(-2234.6 + 1);
    expect(edge).toBeGreaterThan(-2234.6 - 1);
  });

  it('0.559 um from high to low are left after the best fit, and it is called over-corrected', () => {
    const figure = reduce(measured);
    expect(Math.abs(figure.pvNm - 559)).toBeLessThan(1);
    // Wavefront rms over the full aperture 2 x 2.2346 / (6 sqrt 5) = 0.3331 um.
    expect(Math.abs(2 * figure.rmsNm - 333.1)).toBeLessThan(0.7);
    expect(figure.findings[0]?.words).toMatch(/^Over-corrected/);
    expect(Math.abs(figure.conicConstant + 1.0139)).toBeLessThan(1e-5);
  });
});
