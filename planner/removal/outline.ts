/** The outline of a lap's face in the lap's own frame: round, or a star whose rim is cut back between its points. */
import type { LapOutline } from '../shelf/types';

/**
 * Radius of the outline at an angle (radians, anticlockwise from the lap's first point), mm. Between two points a star's
 * rim runs in and out again evenly with the angle, so the share of a ring that touches falls evenly with its radius.
 */
export function outlineRadiusMm(outline: LapOutline, angle: number): number {
  const reachMm = outline.diameterMm / 2;
  if (outline.shape === 'round') return reachMm;
  const place = (angle / (2 * Math.PI)) * outline.points;
  const fromPoint = Math.abs(place - Math.round(place));
  return reachMm - outline.depthMm * 2 * fromPoint;
}

/** Integral of 2 pi rho ringShare(rho): a frustum of revolution over its height. */
export function outlineAreaMm2(wholeMm: number, reachMm: number): number {
  return (Math.PI / 3) * (wholeMm ** 2 + wholeMm * reachMm + reachMm ** 2);
}
