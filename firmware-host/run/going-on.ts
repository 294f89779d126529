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
  /** Where it was at rest: how much further it may have come. Null or left out where it walked. */
  doubtTurns?: number | null;
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

/** How the place of a run that was cut short is known: the controller kept its power and told it, it had come to rest, or it was seen. */
export type HowKnown = 'told' | 'rested' | 'seen';

/** Where a run stands that was cut short. */
export function standingWords(
  { program, path, stand }: RunPlan,
  { turnsWalked, known, doubled }: { turnsWalked: number; known: HowKnown; doubled: Doubled | null },
  lap: { seen: LiftState; now: LiftState },
): string {
  const what = `${stand.virtual ? 'Virtual stand: ' : ''}"${program.title}" stopped at turn ${turnsWalked.toFixed(2)} of ${path.turns}`;
  const seen = lap.seen === lap.now ? '' : ` (it was ${lapWords(lap.seen)} when last seen)`;
  return `${what}, lap ${lapWords(lap.now)}${seen}. ${placeWords(known, doubled)}`.trimEnd();
}

function placeWords(known: HowKnown, doubled: Doubled | null): string {
  if (known === 'told')
    return 'The controller kept its power and counted on, so the place is known to the step: nothing is walked twice.';
  if (doubled !== null) return `The place was last seen there: ${doubledWords(doubled, false)}.`;
  return known === 'rested' ? 'It had come to rest there: nothing is walked twice.' : '';
}
