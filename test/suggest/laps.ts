/** Laps and requests for the tests of suggestions. */

import { askedConic } from '../../planner/figure/conic';
import { reduce } from '../../planner/figure/reduce';
import type { Figure } from '../../planner/figure/types';
import type { Glass, Lap, Shelf } from '../../planner/shelf/types';
import { loadSolver } from '../../planner/suggest/milp';
import type { SuggestRequest } from '../../planner/suggest/suggest';
import { equalWindows, type HeightError, readingsOf, testGlass } from '../figure/synthetic';
import { seeded } from '../support/random';

export const solverLoaded = loadSolver();

export const GLASS: Glass = testGlass({
  id: 'mirror',
  diameterMm: 300,
  clearApertureMm: 298,
  bevelMm: 1,
  radiusOfCurvatureMm: 3000,
});

export function roundLap(diameterMm: number, change: Partial<Lap> = {}): Lap {
  return {
    id: `round-${diameterMm}`,
    title: `Round lap, ${diameterMm} mm`,
    outline: { shape: 'round', diameterMm },
    facets: null,
    load: { addedN: diameterMm / 12, lapWeightN: diameterMm / 40, armWeightN: 1 },
    pivotHeightMm: 5,
    friction: 0.3,
    rotation: 'driven',
    ...change,
  };
}

export function shelfOf(...laps: Lap[]): Shelf {
  return { glasses: { mirror: GLASS }, laps: Object.fromEntries(laps.map((lap) => [lap.id, lap])), slurries: {} };
}

export function figureOf(error: HeightError, noiseMm = 0.005): Figure {
  const options = { noiseMm, random: seeded(8) };
  return reduce(readingsOf(GLASS, askedConic(GLASS), error, equalWindows(12, 0, 149), options));
}

export function requestFor(figure: Figure, laps: Lap[], change: Partial<SuggestRequest> = {}): SuggestRequest {
  return {
    figure,
    laps,
    slurryId: null,
    shelf: shelfOf(...laps),
    stand: null,
    turntableRpm: 2.5,
    strokesPerMinute: 44,
    knowledgeOf: () => ({ kPerPa: 8e-13, sigma: 0.1, runs: 3 }),
    enoughNm: 20,
    marginNm: 2,
    downTo: 'lowest zone',
    allowedLowNm: 0,
    edgeWeight: 1,
    seconds: 30,
    alternatives: false,
    ...change,
  };
}
