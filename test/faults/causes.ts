/** Holds what was written down of a case against what was done to it: each cause recorded, and no other. */
import type { Incident } from './incident';
import type { Oracle } from './oracle';

/** An incident of a case, and how far it has come. */
export interface Happened {
  incident: Incident;
  /** When it began, seconds of the simulation. */
  begun: number | null;
  over: boolean;
  /** How many rows there were then. */
  firstRow: number;
  /** It had stopped already. */
  stopped: boolean;
}

/** What only the index shows comes to light within a turn. */
const SECONDS_A_TURN = 5;
/** Said when it stops or waits, and by nothing that a person asked for. */
const STOPPED_BY = /^(?:Stopped by|Stopping because of|Waiting for|Easing to a standstill, to wait for) /;
/** Only on the small board. */
export const IN_SERIES = /switches in series nobody can tell which/;
const BY_HAND = /the lap to be clocked by hand/;

/** `mayBeMissed`: the host was late by so much that the stand may have missed it. */
export function judgeCauses(
  rows: readonly string[],
  judged: { happened: readonly Happened[]; oracle: Oracle; indexToleranceDeg: number; mayBeMissed: boolean },
): void {
  const { oracle } = judged;
  const told = rows.flatMap((words) => /([\d.]+) degrees may be walked twice/.exec(words)?.[1] ?? []).map(Number);
  for (const turns of oracle.doubled)
    if (!told.some((degrees) => degrees >= turns * 360 - 0.1))
      oracle.complain(`${(turns * 360).toFixed(1)} degrees were walked twice, recorded are ${told.join(', ')}`);
  const begun = judged.happened.filter((entry) => entry.begun !== null);
  for (const { incident, firstRow, stopped, begun: at } of begun)
    if (
      incident.must !== null &&
      // What has stopped already and must be cleared keeps the cause it stopped for.
      !stopped &&
      // One that another cut short need not come to anything.
      !begun.some((other) => other.incident !== incident && overlap(at!, incident, other.begun!, other.incident)) &&
      !rows.slice(firstRow).some((words) => incident.must!.test(words))
    )
      oracle.complain(`"${incident.name}" is recorded nowhere`);
  rows.forEach((words, row) => {
    if (!STOPPED_BY.test(words) || BY_HAND.test(words)) return;
    if (judged.mayBeMissed && /silent for too long/.test(words)) return;
    // Slips that are each too small to stop for add up.
    if (/the index/.test(words) && oracle.slippedDegrees > judged.indexToleranceDeg) return;
    // A search that something cut short leaves a slide on its switch.
    if (IN_SERIES.test(words) && begun.some((one) => one.firstRow <= row)) return;
    if (
      !/power coming on \(virtual/.test(words) &&
      !begun.some((one) => one.firstRow <= row && one.incident.may?.test(words))
    )
      oracle.complain(`recorded though nothing of it happened: "${words}"`);
  });
}

/** While what one of them starts may still be coming to light, the other began. */
function overlap(at: number, one: Incident, otherAt: number, other: Incident): boolean {
  const over = (from: number, { seconds }: Incident): number => from + Math.max(seconds, SECONDS_A_TURN) + 1;
  return otherAt <= over(at, one) && at <= over(otherAt, other);
}
