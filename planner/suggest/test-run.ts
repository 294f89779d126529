/** The first run with a lap nobody has measured: shallow, broad, where glass is to spare. */

import type { Lap } from '../shelf/types';
import { outlook, problemOf } from './problem';
import type { LapKnowledge, Plan, SuggestRequest } from './suggest';
import type { Target } from './target';
import type { Candidate } from './types';
import { programText } from './write-program';

/** Depth aimed at, nm: a hundredth of a wave or two, easily lost in the next runs, just enough to be measured. */
const DEPTH_NM = 10;

/**
 * One stint of about 10 nm where most is to be taken off. Of the candidates the broadest is taken whose peak lies on high glass:
 * a broad zone is measured in several windows.
 */
export function testRun(
  request: SuggestRequest,
  lap: Lap,
  knowledge: LapKnowledge,
  candidates: readonly Candidate[],
  target: Target,
): Plan {
  const chosen = candidates.reduce(
    (best, one) => (worth(one, target) > worth(best, target) ? one : best),
    candidates[0]!,
  );
  const peak = Math.max(...chosen.profileNmPerTurn);
  const turns = Math.max(1, Math.round(DEPTH_NM / peak));
  const stints = [{ candidate: chosen, turns }];
  const problem = problemOf(target, candidates, request.figure.glass, 1, request);
  const predicted = outlook(problem, stints);
  const words =
    `Test run: ${turns} turns at ${chosen.settingMm} mm with ${lap.title}, about ${(turns * peak).toFixed(0)} nm if the usual ` +
    'coefficient holds. Measure before and after with the same mask.';
  const head = {
    title: `Test run with ${lap.title}`,
    remarks: [
      words,
      `Worked from ${knowledge.kPerPa.toExponential(2)} /Pa, which nobody has measured with this lap yet.`,
    ],
    glass: request.figure.glass,
    lap,
    slurryId: request.slurryId,
    turntableRpm: request.turntableRpm,
    strokesPerMinute: request.strokesPerMinute,
  };
  const remark = `takes about ${(turns * peak).toFixed(0)} nm off`;
  const text = programText(head, [{ candidate: chosen, turns, remark }], request.shelf);
  return { name: 'test run', words, lap, stints, depthShare: 1, predicted, relaxed: null, programText: text };
}

/** Glass to spare under the profile, weighted with it, times how broad it is. */
function worth({ profileNmPerTurn }: Candidate, { area, removalNm }: Target): number {
  let spare = 0;
  let whole = 0;
  let squares = 0;
  profileNmPerTurn.forEach((depth, i) => {
    spare += area[i]! * depth * Math.min(removalNm[i]!, 3 * DEPTH_NM);
    whole += area[i]! * depth;
    squares += area[i]! * depth * depth;
  });
  return whole > 0 ? (spare / whole) * Math.sqrt((whole * whole) / squares) : 0;
}
