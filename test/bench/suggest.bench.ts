/** How long a suggestion takes: 400 candidates on 200 radii, relaxed and in whole turns. */
import { reduce } from '../../planner/figure/reduce';
import { candidatesOf } from '../../planner/suggest/candidates';
import { fitNonNegative } from '../../planner/suggest/least-squares';
import { loadSolver } from '../../planner/suggest/milp';
import { problemOf, relaxedTurns } from '../../planner/suggest/problem';
import { targetOf } from '../../planner/suggest/target';
import type { Candidate } from '../../planner/suggest/types';
import { wholeTurns } from '../../planner/suggest/whole-turns';
import { rings } from '../figure/synthetic';
import { GLASS, roundLap } from '../suggest/laps';
import { type Bench, milliseconds } from './harness';

const CANDIDATES = 400;
const RADII = 200;

export async function benches(): Promise<Bench[]> {
  const error = rings([
    { radiusMm: 45, widthMm: 60, heightNm: -50 },
    { radiusMm: 100, widthMm: 70, heightNm: 90 },
  ]);
  const points = Array.from({ length: 150 }, (_, i) => ({ radiusMm: i, heightNm: error.heightNm(i), sigmaNm: 1 }));
  const figure = reduce({
    kind: 'profile',
    file: '',
    glass: GLASS,
    wavelengthNm: 550,
    virtual: false,
    markOnStandDeg: null,
    points,
    sigmaStated: true,
  });
  const target = targetOf(figure, { downTo: 'lowest zone', allowedLowNm: 0, edgeWeight: 1 });
  const settings = { glass: GLASS, kPerPa: 8e-13, turntableRpm: 2.5, strokesPerMinute: 44, stand: null };
  const candidates = (radiusMm: Float64Array): Candidate[] => {
    const all = [28, 42].flatMap((diameter) => candidatesOf({ ...settings, lap: roundLap(diameter), radiusMm }));
    return all.slice(0, CANDIDATES);
  };
  // 200 radii for the bare problem; the suggestion's own grid for the rest.
  const radii = Float64Array.from({ length: RADII }, (_, i) => (i + 0.5) * (149 / RADII));
  const columns = candidates(radii).map((one) => one.profileNmPerTurn);
  const wanted = radii.map((r) => 60 + error.heightNm(r));
  const problem = problemOf(target, candidates(target.radiusMm), GLASS, 0.85, { marginNm: 2, enoughNm: 24 });
  const relaxed = relaxedTurns(problem);
  const solver = await loadSolver();
  return [
    {
      name: `relaxed answer, ${columns.length} candidates x ${RADII} radii`,
      unit: 'ms',
      goal: 100,
      better: 'smaller',
      repeats: 9,
      note: 'one pass over the candidates for each stint taken up',
      measure: () => milliseconds(() => fitNonNegative(columns, wanted)),
    },
    {
      name: `whole turns of ${problem.candidates.length} candidates`,
      unit: 'ms',
      goal: 2000,
      better: 'smaller',
      repeats: 5,
      note: 'at most 16 stints offered and 400 branches searched',
      measure: () => milliseconds(() => wholeTurns(problem, relaxed, solver, { stintNm: 0.7, minuteNm: 0.015 }, 30)),
    },
  ];
}
