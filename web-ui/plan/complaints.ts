/** Everything that stands against a plan, put beside the field that can mend it. */
import { offGlass } from '../../planner/program/reach';
import { rateTrouble, steadyTrouble, strokeTroubles } from '../../planner/program/trouble';
import { MAX_TURNS } from '../../planner/program/types';
import type { Reason } from '../../planner/removal/refusal';
import type { LimitComplaint } from '../../planner/timing/types';
import { type Draft, type StintDraft, stintOf, totalTurns, turnsOfStints, writtenStints } from './draft';

export type FieldName =
  | 'turns'
  | 'at'
  | 'length'
  | 'width'
  | 'nudge'
  | 'clock'
  | 'rate'
  | 'turntable'
  | 'lap'
  | 'load'
  | 'glass';

export interface PlanComplaint {
  /** Number of the stint; null where it is about the whole program. */
  stint: number | null;
  field: FieldName;
  message: string;
  /** What would fit, ready to be taken. */
  fits?: LimitComplaint['fits'];
}

/** What can be said without reckoning. A program with any of these is not sent to be forecast. */
export function checkDraft(draft: Draft): PlanComplaint[] {
  const complaints: PlanComplaint[] = [];
  const turns = totalTurns(draft);
  if (turns > MAX_TURNS) {
    const message = `The program comes to ${turns} turns; at most ${MAX_TURNS} can be planned. Repeat less, or make two programs of it.`;
    complaints.push({ stint: null, field: 'turns', message });
  }
  const turnsOf = turnsOfStints(draft);
  writtenStints(draft).forEach((stint, index) => {
    complaints.push(...checkStint(draft, stint, index + 1, turnsOf.get(stint.id)!));
  });
  return complaints;
}

function checkStint(draft: Draft, written: StintDraft, number: number, turns: number): PlanComplaint[] {
  const { glass, lap, turntableRpm } = draft;
  const stint = stintOf(written, lap, number);
  const complaints: PlanComplaint[] = [];
  const say = (field: FieldName, message: string | null): void => {
    if (message !== null) complaints.push({ stint: number, field, message });
  };
  const off = offGlass({ ...stint, nudgeMm: stint.nudge?.byMm ?? 0 }, glass, lap);
  if (off) say(off.key, off.message);
  say('rate', rateTrouble(stint.strokesPerMinute, turntableRpm));
  if (stint.clocking.kind === 'steady') say('clock', steadyTrouble(stint.clocking.lapTurnsPerTurn));
  for (const { key, message } of strokeTroubles(stint, turns, turntableRpm)) say(key, message);
  return complaints;
}

/** Where a limit of the stand can be met: travel by the geometry, speed and acceleration by the rate that moves the axis. */
export function limitComplaint({ axis, what, line, message, fits }: LimitComplaint): PlanComplaint {
  const field = ((): FieldName => {
    if (axis === 'turntable') return 'turntable';
    if (axis === 'lapTurn') return 'clock';
    if (what !== 'travel') return 'rate';
    return axis === 'stroke' ? 'length' : 'at';
  })();
  return { stint: field === 'turntable' ? null : line, field, message: saysStint(message), fits };
}

const REASON_FIELDS: [prefix: string, field: FieldName][] = [
  ['at', 'at'],
  ['lap.load', 'load'],
  ['lap', 'lap'],
  ['glass', 'glass'],
];

export function refusalComplaint({ field, line, message }: Reason): PlanComplaint {
  const found = REASON_FIELDS.find(([prefix]) => field === prefix || field.startsWith(`${prefix}.`));
  return { stint: line ?? null, field: found?.[1] ?? 'at', message: saysStint(message) };
}

/** A plan has no lines yet: the planner's "line 3" is the third stint. */
export function saysStint(message: string): string {
  return message.replace(/\bline (\d+)\b/g, 'stint $1');
}
