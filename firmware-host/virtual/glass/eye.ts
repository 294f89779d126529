/**
 * The eye behind the virtual knife: finds for each window of the mask where both openings look equally grey, ray by ray, through
 * a slit of real width. It does not use the relation that the reduction inverts.
 */
import { askedConic, sagMm, slopeOf } from '../../../planner/figure/conic';
import { readingAtMm, type SourceKind, type ZoneWindow } from '../../../planner/figure/knife-edge';
import type { Glass } from '../../../planner/shelf/types';
import { normal, type Random } from './truth';

/** A line across the glass: height over the asked conic (nm) and its slope (nm/mm) at a distance from the middle. */
export interface Section {
  heightNm(rMm: number): number;
  slopeNmPerMm(rMm: number): number;
}

export interface EyeSettings {
  source: SourceKind;
  /** Width of the slit, mm: the wider, the softer the shadow. */
  slitMm: number;
  /** Standard deviation of one reading at 70 % of the radius, mm; grows as 1/r, for it is an angle that is judged. */
  noiseMm: number;
  /** Where the dial stands at the centre of curvature, mm. */
  zeroMm: number;
}

const RAYS = 15;

/** One reading a window, mm. */
export function readZones(
  section: Section,
  glass: Glass,
  windows: readonly ZoneWindow[],
  settings: EyeSettings,
  random: Random,
): number[] {
  const conic = askedConic(glass);
  const { source, slitMm, noiseMm, zeroMm } = settings;
  return windows.map(({ fromMm, toMm }) => {
    const rays = Array.from({ length: RAYS }, (_, i) => {
      const r = fromMm + ((i + 0.5) / RAYS) * (toMm - fromMm);
      const sag = sagMm(conic, r) + section.heightNm(r) * 1e-6;
      const crossing = readingAtMm(sag, slopeOf(conic, r) + section.slopeNmPerMm(r) * 1e-6, r, conic.radiusMm, source);
      // Sideways miss at the knife for each mm along the axis; a source that travels along doubles it.
      return { crossing, sideways: ((source === 'moving' ? 2 : 1) * r) / conic.radiusMm };
    });
    const balanced = evenlyGrey(rays, slitMm);
    const middle = (fromMm + toMm) / 2;
    const sigma = (noiseMm * 0.7 * glass.clearApertureMm) / 2 / middle;
    return zeroMm + balanced + sigma * normal(random);
  });
}

/** Knife's place where the two openings pass equal light, by bisection: the difference rises steadily with the place. */
function evenlyGrey(rays: readonly { crossing: number; sideways: number }[], slitMm: number): number {
  let low = Math.min(...rays.map((ray) => ray.crossing));
  let high = Math.max(...rays.map((ray) => ray.crossing));
  const difference = (knife: number): number =>
    rays.reduce((sum, { crossing, sideways }) => {
      const share = ((knife - crossing) * sideways) / slitMm;
      return sum + Math.min(0.5, Math.max(-0.5, share));
    }, 0);
  for (let step = 0; step < 60; step++) {
    const middle = (low + high) / 2;
    if (difference(middle) > 0) high = middle;
    else low = middle;
  }
  return (low + high) / 2;
}
