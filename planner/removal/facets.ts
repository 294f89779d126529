/**
 * Square facets cut into the pitch, in the lap's own frame: channels of one width at one pitch, both ways. With no offset
 * a facet stands in the middle of the lap; an offset moves the whole pattern, so that no crossing lies on the centre.
 */
import type { Lap, LapOutline } from '../shelf/types';
import { outlineRadiusMm } from './outline';

export type Facets = NonNullable<Lap['facets']>;

/** Whether the face touches at a radius and angle of the lap's own frame (facets and outline). */
export function touches(outline: LapOutline, facets: Facets | null, rhoMm: number, angle: number): boolean {
  if (rhoMm > outlineRadiusMm(outline, angle)) return false;
  if (!facets) return true;
  return (
    onFacet(facets, rhoMm * Math.cos(angle) - facets.offsetXMm) &&
    onFacet(facets, rhoMm * Math.sin(angle) - facets.offsetYMm)
  );
}

function onFacet(facets: Facets, mm: number): boolean {
  const fromMiddle = Math.abs(mm / facets.pitchMm - Math.round(mm / facets.pitchMm)) * facets.pitchMm;
  return fromMiddle < (facets.pitchMm - facets.channelMm) / 2;
}

/**
 * Share of the outline's area that stands proud of the channels, counted over a fine polar lattice, good to about 1e-3;
 * 1 without facets.
 */
export function facetShare({ outline, facets }: Lap): number {
  if (!facets) return 1;
  const rings = 200;
  const angles = 360;
  const reachMm = outline.diameterMm / 2;
  let touched = 0;
  let whole = 0;
  for (let i = 0; i < rings; i++) {
    const rhoMm = ((i + 0.5) / rings) * reachMm;
    for (let j = 0; j < angles; j++) {
      const angle = ((j + 0.5) / angles) * 2 * Math.PI;
      if (rhoMm > outlineRadiusMm(outline, angle)) continue;
      whole += rhoMm;
      if (touches(outline, facets, rhoMm, angle)) touched += rhoMm;
    }
  }
  return touched / whole;
}

/** How many times a turn the face looks the same: star points, the quarters of facets that are not off the middle. */
export function faceSymmetry({ outline, facets }: Lap): number {
  const points = outline.shape === 'star' ? outline.points : 0;
  if (!facets) return Math.max(1, points);
  if (facets.offsetXMm !== 0 || facets.offsetYMm !== 0) return 1;
  return points % 4 === 0 ? 4 : points % 2 === 0 ? 2 : 1;
}
