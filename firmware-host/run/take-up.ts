/** A new host takes up a run that was cut short in an earlier launch: where it stands, as exactly as stand and logbook tell. */
import type { StandIdentity, StandStatus } from '../stand/stand-link';
import { type CutShort, type HowKnown, standingWords } from './going-on';
import type { RunPlan } from './plan';
import { CHECKPOINT_SECONDS, type RunBook } from './run-book';
import { placeFound, turnsOf } from './stream-mark';
import type { Walker } from './walker';

export interface Found {
  plan: RunPlan;
  walker: Walker;
  book: RunBook;
  identity: StandIdentity;
  status: StandStatus;
  /** How long a stand walks on that hears nothing of its host, seconds. */
  aloneSeconds: number;
}

/** Has the walker stand where the run stands; returns that in words. */
export function takeUp(cut: CutShort, found: Found): string {
  const { turnsWalked, lift = 'unknown', mark = null, doubtTurns: rested = null } = cut;
  const { plan, walker, book, identity, status, aloneSeconds } = found;
  const place = placeFound(mark, identity);
  const turns = mark !== null && place !== null ? turnsOf(mark, place, plan) : null;
  const unseenTurns = (CHECKPOINT_SECONDS + aloneSeconds) * plan.law.cruiseTurnsPerSecond;
  walker.standAt(turns ?? turnsWalked, turns === null ? (rested ?? unseenTurns) : 0);
  // This link has replaced the one that told: whoever comes next must know it from here.
  if (turns !== null) book.keepPlace('Stopped', status);
  const known: HowKnown = turns !== null ? 'told' : rested !== null ? 'rested' : 'seen';
  const stands = { turnsWalked: walker.turnsWalked, known, doubled: walker.doubled };
  return standingWords(plan, stands, { seen: lift, now: status.lift });
}
