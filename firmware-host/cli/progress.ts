/** Where on the path a run is, counted as an optician counts. */
import type { PathStint } from '../../planner/path/types';
import { formatDuration } from '../../planner/units/format';
import type { RunPlan } from '../run/plan';
import type { RunSnapshot } from '../run/snapshot';
import { patternWords, plural } from './program-words';

export interface Counted {
  strokes: number;
  nudges: number;
  clockings: number;
}

/** Strokes, nudges and clockings finished at `turnsWalked`; hand clockings count as the rests passed. */
export function countedAt(plan: RunPlan, turnsWalked: number): Counted {
  const total: Counted = { strokes: 0, nudges: 0, clockings: 0 };
  for (const { geared, fromTurns, toTurns } of plan.path.stints) {
    if (turnsWalked <= fromTurns) break;
    const { stint, strokes, strokesBefore } = geared;
    // A stroke is finished when the path has come round; the millionth keeps the last one of a stint in it.
    const done =
      turnsWalked >= toTurns ? strokes : Math.floor(((turnsWalked - fromTurns) / geared.turns) * strokes + 1e-6);
    const among = (n: number): number => Math.floor((strokesBefore + done) / n) - Math.floor(strokesBefore / n);
    total.strokes += done;
    if (stint.nudge !== null) total.nudges += among(stint.nudge.everyStrokes);
    if (stint.clocking.kind === 'steps' && geared.clockings > 0) total.clockings += among(stint.clocking.everyStrokes);
  }
  const byHand = (turns: number, reason: string): boolean => reason === 'hand clocking' && turns < turnsWalked;
  total.clockings += plan.path.rests.filter(({ turns, reason }) => byHand(turns, reason)).length;
  return total;
}

function stintAt(plan: RunPlan, turnsWalked: number): PathStint {
  const { stints } = plan.path;
  return stints.find((stint) => turnsWalked < stint.toTurns) ?? stints[stints.length - 1]!;
}

export function countedWords({ strokes, nudges, clockings }: Counted): string {
  return `${plural(strokes, 'stroke')}, ${plural(nudges, 'nudge')}, ${plural(clockings, 'clocking')}`;
}

/** One line for a terminal. */
export function progressLine(plan: RunPlan, snapshot: RunSnapshot): string {
  const { turnsWalked, startsInSeconds, slip, line } = snapshot;
  if (startsInSeconds !== null)
    return `Keep clear: things move in ${Math.ceil(startsInSeconds)} s. Ctrl+C calls it off.`;
  if (snapshot.state !== 'Execute')
    return `${snapshot.words}, ${turnsWalked.toFixed(1)} of ${plan.path.turns} turns. ${snapshot.glass}`;
  const { stint } = stintAt(plan, turnsWalked).geared;
  return [
    ...(snapshot.air ? ['Air run'] : []),
    `Turn ${turnsWalked.toFixed(1)} of ${plan.path.turns}`,
    patternWords(stint),
    countedWords(countedAt(plan, turnsWalked)),
    `${formatDuration(snapshot.secondsLeft)} left`,
    ...(slip === null ? [] : [`slip ${slip.degrees.toFixed(2)} deg`]),
    `line: ${line.damaged} damaged, ${line.sentAgain} sent again`,
    ...snapshot.accessories.map(({ name, words }) => `${name}: ${words}`),
  ].join(' | ');
}
