/**
 * What a knife-edge reads on a given surface, by exact ray geometry. Readings are distances along the axis from the vertex
 * centre of curvature, growing away from the glass; mm.
 *
 * Moving source (source and knife travel together): the reading is where the normal meets the axis. Fixed source, standing at
 * the vertex centre of curvature: the reading is where the reflected ray crosses the axis. For a paraboloid these are r^2/(2R)
 * and r^2/R + r^4/(2 R^3) without further terms.
 */
import type { Conic } from './conic';

export type SourceKind = 'moving' | 'fixed';

/** One opening of the mask, or a place a person aimed at. Radii on the glass. */
export interface ZoneWindow {
  fromMm: number;
  toMm: number;
  /** The radius the reading stands for; null: the mean over the opening. */
  atMm: number | null;
}

/** A surface as the reader needs it: total sag (mm) and slope at a radius. */
export interface Surface {
  sagMm(rMm: number): number;
  slope(rMm: number): number;
}

/** Reading at one radius r > 0 of a surface with that sag and slope; `centreMm` is the vertex centre of curvature. */
export function readingAtMm(sagMm: number, slope: number, rMm: number, centreMm: number, source: SourceKind): number {
  if (source === 'moving') return sagMm + rMm / slope - centreMm;
  const fromSource = rMm / (centreMm - sagMm);
  const twice = (2 * slope) / (1 - slope * slope);
  const reflected = (twice - fromSource) / (1 + twice * fromSource);
  return sagMm + rMm / reflected - centreMm;
}

/** Gauss-Legendre, five points on [-1, 1] (standard table; exact for polynomials up to the ninth degree). */
const NODES = [0, 0.5384693101056831, -0.5384693101056831, 0.906179845938664, -0.906179845938664];
const WEIGHTS = [128 / 225, 0.47862867049936647, 0.47862867049936647, 0.23692688505618908, 0.23692688505618908];

/**
 * Reading of one window. An opening is judged as a whole: equally grey on both sides means that the *transverse* offsets of its
 * rays at the knife, r (X - X(r)) / R, cancel over it. So the reading is the mean of X(r) weighted with r, for an opening of
 * constant height (derived here from that balance; for a paraboloid it gives the root mean square of the edges, one of the
 * usual conventions for the radius of a zone).
 */
export function windowReadingMm(surface: Surface, window: ZoneWindow, conic: Conic, source: SourceKind): number {
  const centre = conic.radiusMm;
  const at = (r: number): number => readingAtMm(surface.sagMm(r), surface.slope(r), r, centre, source);
  if (window.atMm !== null) return at(window.atMm);
  const half = (window.toMm - window.fromMm) / 2;
  const middle = (window.toMm + window.fromMm) / 2;
  let sum = 0;
  let weight = 0;
  for (let i = 0; i < NODES.length; i++) {
    const r = middle + half * NODES[i]!;
    const share = WEIGHTS[i]! * r;
    sum += share * at(r);
    weight += share;
  }
  return sum / weight;
}

/**
 * Height step (mm) across a window, or slope times `stepMm` at its radius, that belongs to one millimetre of reading, to first
 * order: a reading too long by d tilts the surface by -d r / R^2 (moving source), half of that (fixed source).
 */
export function stepPerReading(window: ZoneWindow, stepMm: number, conic: Conic, source: SourceKind): number {
  const share = (source === 'moving' ? 1 : 0.5) / conic.radiusMm ** 2;
  if (window.atMm !== null) return -window.atMm * stepMm * share;
  return -((window.toMm ** 2 - window.fromMm ** 2) / 2) * share;
}

/** Radius a window's reading stands for: as given, or the root mean square of its edges. */
export function windowRadiusMm(window: ZoneWindow): number {
  return window.atMm ?? Math.sqrt((window.fromMm ** 2 + window.toMm ** 2) / 2);
}
