/** What keeps the next run from making the glass perfect: said in one sentence, the weightiest thing first. */
import type { Lap } from '../shelf/types';
import type { LapKnowledge, Plan, SuggestRequest } from './suggest';
import type { Target } from './target';
import type { Outlook } from './types';

export function limits(
  request: SuggestRequest,
  lap: Lap,
  knowledge: LapKnowledge,
  target: Target,
  beforePvNm: number,
  plan: Plan,
  full: Outlook,
): string {
  const band = Array.from(target.bandNm.subarray(target.first, target.last + 1)).sort((a, b) => a - b);
  const doubtNm = 2 * (band[band.length >> 1] ?? 0);
  const heldBackNm = (1 - plan.depthShare) * beforePvNm;
  const wholeNm = Math.max(0, plan.predicted.pvNm - full.pvNm - heldBackNm);
  const share = (100 * plan.depthShare).toFixed(0);
  const sigma = (100 * knowledge.sigma).toFixed(0);
  const reasons: [number, string][] = [
    [
      target.lowNm,
      `a low zone at ${target.lowAtMm.toFixed(0)} mm: it stays ${target.lowNm.toFixed(0)} nm deep unless everything else is lowered to it`,
    ],
    [
      heldBackNm,
      `the coefficient, known to ${sigma} %: only ${share} % of the depth is worked, and the next run is surer`,
    ],
    [
      full.pvNm,
      `the lap: ${lap.title} cannot follow zones this narrow, ${full.pvNm.toFixed(0)} nm stay; a smaller lap leaves less`,
    ],
    [
      doubtNm,
      `the measurement: its band is ${(doubtNm / 2).toFixed(0)} nm to either side; more takes or a finer mask narrow it`,
    ],
    [wholeNm, `whole turns, few stints and the ${request.marginNm.toFixed(0)} nm that may be cut below the target`],
  ];
  reasons.sort((a, b) => b[0] - a[0]);
  return reasons[0]![1];
}
