/** The first run with a lap nobody has measured: shallow, broad, where glass is to spare. */

import { median } from '../figure/words';
import type { Lap } from '../shelf/types';
import { outlook, problemOf } from './problem';
import { depthShareOf, type LapKnowledge, type Plan, type SuggestRequest } from './suggest';
import type { Target } from './target';
import type { Candidate } from './types';
import { programText } from './write-program';

/** Depth aimed at, nm, where the readings are sure enough: a hundredth of a wave or two, easily lost in the next runs. */
const LEAST_NM = 10;
/**
 * Half widths of the readings' 95 % band that must come off, or the run teaches nothing: two measurements of a band b differ by
 * sqrt(2) b / 1.96 by noise alone, so this is about four standard deviations where three are asked for (../learn/too-shallow.ts).
 */
const BANDS = 3;

/**
 * One stint where most is to be taken off, as deep as these readings can see, but no deeper than the glass that stands high there
 * allows with a coefficient this little known. Of the candidates the broadest is taken whose peak lies on high glass: a broad zone is
 * measured in several windows.
 */
export function testRun(
  request: SuggestRequest,
  lap: Lap,
  knowledge: LapKnowledge,
  candidates: readonly Candidate[],
  target: Target,
): Plan {
  const bandNm = median(Array.from(target.bandNm.subarray(target.first, target.last + 1)));
  const wantedNm = Math.max(LEAST_NM, BANDS * bandNm);
  const chosen = candidates.reduce(
    (best, one) => (worth(one, target, wantedNm) > worth(best, target, wantedNm) ? one : best),
    candidates[0]!,
  );
  const peak = Math.max(...chosen.profileNmPerTurn);
  const spareNm = depthShareOf(knowledge.sigma) * target.removalNm[chosen.profileNmPerTurn.indexOf(peak)]!;
  const depthNm = Math.max(LEAST_NM, Math.min(wantedNm, spareNm));
  const turns = Math.max(1, Math.round(depthNm / peak));
  const stints = [{ candidate: chosen, turns }];
  const problem = problemOf(target, candidates, request.figure.glass, 1, request);
  const predicted = outlook(problem, stints);
  const words =
    `Test run: ${turns} turns at ${chosen.settingMm} mm with ${lap.title}, about ${(turns * peak).toFixed(0)} nm if the usual ` +
    `coefficient holds.${readingWords(depthNm, wantedNm, bandNm)} Measure before and after with the same mask.`;
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

/** What the depth has to do with the readings, where they set it. */
function readingWords(depthNm: number, wantedNm: number, bandNm: number): string {
  if (wantedNm === LEAST_NM) return '';
  const known = `these readings are known to ${bandNm.toFixed(0)} nm to either side`;
  return depthNm >= wantedNm
    ? ` That deep because ${known}: a third of it would be lost in them.`
    : ` It should take ${wantedNm.toFixed(0)} nm, for ${known}, but no more glass stands high there: read more takes, or it may teach nothing.`;
}

/** Glass to spare under the profile, weighted with it, times how broad it is. */
function worth({ profileNmPerTurn }: Candidate, { area, removalNm }: Target, wantedNm: number): number {
  let spare = 0;
  let whole = 0;
  let squares = 0;
  profileNmPerTurn.forEach((depth, i) => {
    spare += area[i]! * depth * Math.min(removalNm[i]!, 3 * wantedNm);
    whole += area[i]! * depth;
    squares += area[i]! * depth * depth;
  });
  return whole > 0 ? (spare / whole) * Math.sqrt((whole * whole) / squares) : 0;
}
