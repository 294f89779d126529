/**
 * The lap's contact face. Turning over many clockings, a face acts through the share of each ring (about the lap's own
 * centre) that touches: 1 for a round lap, falling along a straight line from the notches to the points of a star. Facets
 * thin that share everywhere alike and raise the pressure by as much; what they leave behind is ./pattern.
 */
import type { Lap } from '../shelf/types';
import { facetShare } from './facets';
import { outlineAreaMm2 } from './outline';

export interface Face {
  /** Radius of the outermost point of the outline, mm. */
  reachMm: number;
  /** Radius up to which whole rings touch, mm; equal to reachMm for a round lap. */
  wholeMm: number;
  /** Area inside the outline, mm2. */
  outlineAreaMm2: number;
}

/** Pascals in one pound-force per square inch (exact by definition of inch, pound and standard gravity: 6894.757...). */
export const PA_PER_PSI = (0.453_592_37 * 9.806_65) / 0.0254 ** 2;

export function lapFace(lap: Lap): Face {
  const reachMm = lap.outline.diameterMm / 2;
  const wholeMm = lap.outline.shape === 'star' ? reachMm - lap.outline.depthMm : reachMm;
  return {
    reachMm,
    wholeMm,
    outlineAreaMm2: outlineAreaMm2(wholeMm, reachMm),
  };
}

/** Share of the ring at `rhoMm` from the lap's centre that lies inside the outline, 0..1. */
export function ringShare(face: Face, rhoMm: number): number {
  if (rhoMm <= face.wholeMm) return 1;
  if (rhoMm >= face.reachMm) return 0;
  return (face.reachMm - rhoMm) / (face.reachMm - face.wholeMm);
}

/** Everything that presses the lap on the glass, N. */
export function loadN(lap: Lap): number {
  return lap.load.addedN + lap.load.lapWeightN + lap.load.armWeightN;
}

export interface MeanPressure {
  contactAreaMm2: number;
  pressurePa: number;
  pressurePsi: number;
}

/** Contact area and mean pressure of a lap that lies wholly on the glass. */
export function meanPressure(lap: Lap): MeanPressure {
  const contactAreaMm2 = lapFace(lap).outlineAreaMm2 * facetShare(lap);
  const pressurePa = loadN(lap) / (contactAreaMm2 * 1e-6);
  return { contactAreaMm2, pressurePa, pressurePsi: pressurePa / PA_PER_PSI };
}
