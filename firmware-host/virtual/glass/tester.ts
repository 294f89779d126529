/** The virtual tester: a mask, a slit and an eye like those of a careful person. */
import type { Glass } from '../../../planner/shelf/types';
import type { TesterSettings } from './virtual-glass';

const WINDOW_MM = 15;
const FEWEST_WINDOWS = 6;
const MOST_WINDOWS = 16;

/** Zones of about 15 mm side by side over the clear aperture; source and knife on one slide. */
export function testerFor(glass: Glass): Omit<TesterSettings, 'takes' | 'diametersDeg'> {
  const from = glass.holeMm / 2;
  const widthMm = glass.clearApertureMm / 2 - from;
  const count = Math.min(MOST_WINDOWS, Math.max(FEWEST_WINDOWS, Math.round(widthMm / WINDOW_MM)));
  const edge = (i: number): number => Number((from + (i / count) * widthMm).toFixed(1));
  const windows = Array.from({ length: count }, (_, i) => ({ fromMm: edge(i), toMm: edge(i + 1), atMm: null }));
  return { source: 'moving', slitMm: 0.05, noiseMm: 0.02, zeroMm: 12, windows };
}
