/**
 * The shadow picture: what an eye behind the knife sees, by rays. The light of each point of the glass crosses the knife's plane
 * sideways by t = (knife - X(r)) x / R, X being where its ray crosses the axis; with a slit of width w a share 1/2 + t/w of it
 * passes. Diffraction, which draws a bright line round the rim, is left out.
 */
import { askedConic, focusShapeMm2, sagMm, slopeOf } from './conic';
import { readingAtMm, type SourceKind } from './knife-edge';
import { splineThrough } from './spline';
import type { Figure } from './types';

export interface ShadowSettings {
  source: SourceKind;
  /** Where the knife stands along the axis, mm beyond the vertex centre of curvature. */
  knifeMm: number;
  /** Width of the slit, mm: how soft the shadow is. */
  slitMm: number;
  /** Side of the square picture. */
  pixels: number;
}

/**
 * Brightness 0..1, row by row from the top; -1 outside the clear aperture and in the hole. The knife comes in from the left and
 * its edge stands on the axis. Computed from the profile alone: what is not symmetric about the axis is not in it.
 */
export function shadowPicture(figure: Figure, settings: ShadowSettings): Float32Array {
  const { source, knifeMm, slitMm, pixels } = settings;
  const { glass, radiusMm } = figure;
  const conic = askedConic(glass);
  const rim = glass.clearApertureMm / 2;
  const error = splineThrough(radiusMm, figure.surfaceNm);
  const miss = Float64Array.from(radiusMm, (r) => {
    if (r === 0) return 0;
    const sag = sagMm(conic, r) + error.value(r) * 1e-6;
    const reading = readingAtMm(sag, slopeOf(conic, r) + error.slope(r) * 1e-6, r, conic.radiusMm, source);
    // With the source moving along, it is off the axis' crossing as much as the knife: the ray misses by twice as much.
    return ((source === 'moving' ? 2 : 1) * (knifeMm - reading)) / conic.radiusMm;
  });
  const step = radiusMm[1]! - radiusMm[0]!;
  const picture = new Float32Array(pixels * pixels).fill(-1);
  for (let row = 0; row < pixels; row++) {
    for (let column = 0; column < pixels; column++) {
      const x = ((2 * column + 1) / pixels - 1) * rim;
      const y = (1 - (2 * row + 1) / pixels) * rim;
      const r = Math.hypot(x, y);
      if (r > rim || r < glass.holeMm / 2) continue;
      const place = Math.min((r - radiusMm[0]!) / step, radiusMm.length - 1.001);
      const low = Math.floor(place);
      const per = miss[low]! + (place - low) * (miss[low + 1]! - miss[low]!);
      picture[row * pixels + column] = Math.min(1, Math.max(0, 0.5 + (per * x) / slitMm));
    }
  }
  return picture;
}

/** The knife's place that best balances the whole glass: where most of its area looks evenly grey. mm, as `knifeMm`. */
export function evenGreyMm(figure: Figure, source: SourceKind): number {
  const conic = askedConic(figure.glass);
  const error = splineThrough(figure.radiusMm, figure.surfaceNm);
  let sum = 0;
  let whole = 0;
  figure.radiusMm.forEach((r, i) => {
    const weight = figure.area[i]! * focusShapeMm2(conic, r);
    if (weight === 0) return;
    const sag = sagMm(conic, r) + error.value(r) * 1e-6;
    sum += weight * readingAtMm(sag, slopeOf(conic, r) + error.slope(r) * 1e-6, r, conic.radiusMm, source);
    whole += weight;
  });
  return sum / whole;
}
