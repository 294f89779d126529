/**
 * Square facets cut into the pitch, in the lap's own frame: channels of one width at one pitch, both ways. With no offset
 * a facet stands in the middle of the lap; an offset moves the whole pattern, so that no crossing lies on the centre.
 */
import type { Lap, LapOutline } from '../shelf/types';
import { outlineRadiusMm } from './outline';

export type Facets = NonNullable<Lap['facets']>;

/** Whether the face touches at a point of the lap's own frame, mm (facets and outline). */
export function touches(outline: LapOutline, facets: Facets | null, xMm: number, yMm: number): boolean {
  if (Math.hypot(xMm, yMm) > outlineRadiusMm(outline, Math.atan2(yMm, xMm))) return false;
  if (!facets) return true;
  return onFacet(facets, xMm - facets.offsetXMm) && onFacet(facets, yMm - facets.offsetYMm);
}

function onFacet(facets: Facets, mm: number): boolean {
  const fromMiddle = Math.abs(mm / facets.pitchMm - Math.round(mm / facets.pitchMm)) * facets.pitchMm;
  return fromMiddle < (facets.pitchMm - facets.channelMm) / 2;
}

/**
 * Share of the outline's area that stands proud of the channels, counted over a fine polar lattice. Good to about 1e-3.
 */
export function facetShare(outline: LapOutline, facets: Facets): number {
  const rings = 400;
  const angles = 720;
  const reachMm = outline.diameterMm / 2;
  let touched = 0;
  let whole = 0;
  for (let i = 0; i < rings; i++) {
    const rhoMm = ((i + 0.5) / rings) * reachMm;
    for (let j = 0; j < angles; j++) {
      const angle = ((j + 0.5) / angles) * 2 * Math.PI;
      if (rhoMm > outlineRadiusMm(outline, angle)) continue;
      whole += rhoMm;
      if (touches(outline, facets, rhoMm * Math.cos(angle), rhoMm * Math.sin(angle))) touched += rhoMm;
    }
  }
  return touched / whole;
}
