/** Going on after something cut a run short: how exactly its place is known, what is walked twice for it, and in which words. */
import { RemovalRefused } from '../../planner/removal/refusal';
import { deepestOfStretch } from '../../planner/removal/stretch';
import type { LiftState } from '../stand/stand-link';
import type { RunPlan } from './plan';
import type { KeptMark } from './stream-mark';

/** A run of an earlier launch that is to be gone on with. */
export interface CutShort {
  runId: string;
  /** As last seen; the stand may have walked on. */
  turnsWalked: number;
  /** Where the lap was then. */
  lift?: LiftState;
  /** Null: nothing was queued then, or an older program kept it. */
  mark?: KeptMark | null;
}

/** A stretch that may be walked a second time. */
export interface Doubled {
  turns: number;
  /** At the deepest place of the glass; null where the work cannot be forecast. */
  nm: number | null;
}

/** What walking on from `turns` takes off twice where the stand may have come `doubtTurns` further; null where that is nothing. */
export function doubledFrom(plan: RunPlan, turns: number, doubtTurns: number): Doubled | null {
  const { path, program, kPerPa } = plan;
  const doubled = Math.min(doubtTurns, path.turns - turns);
  if (!(doubled > 0)) return null;
  try {
    return { turns: doubled, nm: deepestOfStretch(program, path, kPerPa, turns, turns + doubled) };
  } catch (error) {
    if (error instanceof RemovalRefused) return { turns: doubled, nm: null };
    throw error;
  }
}

/** A sentence without its first capital; `air`: nothing is taken off, whatever is walked twice. */
export function doubledWords({ turns, nm }: Doubled, air: boolean): string {
  const depth = air ? ', in the air' : nm === null ? '' : `, ${nm.toFixed(2)} nm at the deepest place`;
  return `up to ${(turns * 360).toFixed(1)} degrees may be walked twice${depth}`;
}

const LAP_WORDS: Record<LiftState, string> = {
  up: 'up',
  rising: 'on its way up',
  down: 'down',
  falling: 'on its way down',
  unknown: 'unknown',
};

/** Completes "The lap is ...". */
export function lapWords(lift: LiftState): string {
  return LAP_WORDS[lift];
}

/** Where a run stands that was cut short. `exact`: the controller kept its power and told the place itself. */
export function standingWords(
  { program, path, stand }: RunPlan,
  { turnsWalked, exact, doubled }: { turnsWalked: number; exact: boolean; doubled: Doubled | null },
  lap: { seen: LiftState; now: LiftState },
): string {
  const what = `${stand.virtual ? 'Virtual stand: ' : ''}"${program.title}" stopped at turn ${turnsWalked.toFixed(2)} of ${path.turns}`;
  const seen = lap.seen === lap.now ? '' : ` (it was ${lapWords(lap.seen)} when last seen)`;
  const place = exact
    ? 'The controller kept its power and counted on, so the place is known to the step: nothing is walked twice.'
    : doubled === null
      ? ''
      : `The place was last seen there: ${doubledWords(doubled, false)}.`;
  return `${what}, lap ${lapWords(lap.now)}${seen}. ${place}`.trimEnd();
}
