/** Seeded surfaces and noisy readings for the tests of reduction. The truth is made here and never passes through planner's fit. */
import { type Conic, sagMm, slopeOf } from '../../planner/figure/conic';
import { readingAtMm, type SourceKind, type ZoneWindow } from '../../planner/figure/knife-edge';
import type { KnifeEdgeMeasurement, ProfileMeasurement } from '../../planner/figure/types';
import type { Glass } from '../../planner/shelf/types';
import { seeded } from '../support/random';

/** Normal deviates by Box and Muller. */
export function normal(random: () => number): number {
  return Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
}

export function testGlass(change: Partial<Glass> = {}): Glass {
  return {
    id: 'test-200',
    title: 'Test glass',
    diameterMm: 200,
    clearApertureMm: 200,
    bevelMm: 0,
    holeMm: 0,
    radiusOfCurvatureMm: 2400,
    conicConstant: -1,
    material: 'borosilicate',
    thicknessMm: 30,
    ...change,
  };
}

/** A height error in nm over the radius. */
export interface HeightError {
  heightNm(rMm: number): number;
  slopeNmPerMm(rMm: number): number;
}

/** Raised-cosine rings: smooth, zero outside their width. Mirrored about the axis so that the middle is smooth too. */
export function rings(list: { radiusMm: number; widthMm: number; heightNm: number }[]): HeightError {
  const at = (r: number, slope: boolean): number => {
    let sum = 0;
    for (const { radiusMm, widthMm, heightNm } of list) {
      for (const sign of [1, -1]) {
        const x = (sign * r - radiusMm) / (widthMm / 2);
        if (Math.abs(x) >= 1) continue;
        const angle = (Math.PI / 2) * x;
        sum += slope ? -heightNm * sign * (Math.PI / widthMm) * Math.sin(2 * angle) : heightNm * Math.cos(angle) ** 2;
      }
    }
    return sum;
  };
  return { heightNm: (r) => at(r, false), slopeNmPerMm: (r) => at(r, true) };
}

/** Gaussian rings, given by their width at half height; smooth in every derivative, mirrored about the axis. */
export function softRings(list: { radiusMm: number; widthMm: number; heightNm: number }[]): HeightError {
  const at = (r: number, slope: boolean): number => {
    let sum = 0;
    for (const { radiusMm, widthMm, heightNm } of list) {
      const sigma = widthMm / Math.sqrt(8 * Math.LN2);
      for (const sign of [1, -1]) {
        const x = (sign * r - radiusMm) / sigma;
        sum += heightNm * Math.exp((-x * x) / 2) * (slope ? (-sign * x) / sigma : 1);
      }
    }
    return sum;
  };
  return { heightNm: (r) => at(r, false), slopeNmPerMm: (r) => at(r, true) };
}

/** Reading of a window by the balance of its rays, r (X - X(r)), on many of them; a place that was aimed at by its own ray. */
function balanced(
  surface: ReturnType<typeof surfaceWith>,
  window: ZoneWindow,
  centreMm: number,
  source: SourceKind,
): number {
  const crossing = (r: number): number => readingAtMm(surface.sagMm(r), surface.slope(r), r, centreMm, source);
  if (window.atMm !== null) return crossing(window.atMm);
  const rays = 120;
  let sum = 0;
  let weight = 0;
  for (let i = 0; i < rays; i++) {
    const r = window.fromMm + ((i + 0.5) / rays) * (window.toMm - window.fromMm);
    sum += r * crossing(r);
    weight += r;
  }
  return sum / weight;
}

export function surfaceWith(conic: Conic, error: HeightError) {
  return {
    sagMm: (r: number) => sagMm(conic, r) + error.heightNm(r) * 1e-6,
    slope: (r: number) => slopeOf(conic, r) + error.slopeNmPerMm(r) * 1e-6,
  };
}

export function equalWindows(count: number, fromMm: number, toMm: number): ZoneWindow[] {
  const width = (toMm - fromMm) / count;
  return Array.from({ length: count }, (_, i) => {
    return { fromMm: fromMm + i * width, toMm: fromMm + (i + 1) * width, atMm: null };
  });
}

/** Readings of a conic (not always the asked one) with an error on it; noise as sigma at 70 % of the radius, growing as 1/r. */
export function readingsOf(
  glass: Glass,
  truth: Conic,
  error: HeightError,
  windows: ZoneWindow[],
  options: { source?: SourceKind; noiseMm?: number; random?: () => number; zeroMm?: number; statedMm?: number },
): KnifeEdgeMeasurement {
  const { source = 'moving', noiseMm = 0, random = seeded(1), zeroMm = 0, statedMm = noiseMm } = options;
  const surface = surfaceWith(truth, error);
  const readingMm = windows.map((window) => {
    const r = (window.fromMm + window.toMm) / 2;
    const sigma = (noiseMm * 0.7 * glass.clearApertureMm) / 2 / r;
    return (
      zeroMm + balanced(surface, window, glass.radiusOfCurvatureMm, source) + (sigma > 0 ? sigma * normal(random) : 0)
    );
  });
  return {
    kind: 'knife-edge',
    file: 'test',
    glass,
    wavelengthNm: 550,
    virtual: false,
    markOnStandDeg: null,
    source,
    windows,
    takes: [{ diameterDeg: 0, markOnTesterDeg: 0, atMinutes: null, readingMm }],
    repeatabilityMm: statedMm > 0 ? statedMm : 1e-5,
    rest: { hoursSinceWork: null, glassC: null, roomC: null },
  };
}

/** A measurement of heights that are given. */
export function profileOf(glass: Glass, points: ProfileMeasurement['points']): ProfileMeasurement {
  return {
    kind: 'profile',
    file: '',
    glass,
    wavelengthNm: 550,
    virtual: false,
    markOnStandDeg: null,
    points,
    sigmaStated: true,
  };
}
