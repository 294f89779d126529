/**
 * Gearing: whole strokes in whole turns, an exact clocking angle, and how evenly that works round the glass.
 *
 * Stints of one group (the occurrences of one line in a repeat) are geared as one long stint when they ask the same: nudges and
 * clockings count on from one to the next. Stints of a group that differ are geared each alone.
 */
import type { Program, Stint } from '../program/types';
import type { Lap } from '../shelf/types';
import { type Ask, type Choice, choose, isEven, offerTurns } from './choose';
import { lapOrders, printedOrders, REPORTED_ORDERS } from './score';
import type { GearedStint } from './types';
import { gearingWarnings } from './words';

/**
 * Gears every stint of a program, in the program's order.
 *
 * @param lap the lap whose own orders (star points, facets) are scored; the program's unless given
 */
export function gearProgram(program: Program, lap: Lap = program.lap): GearedStint[] {
  const ownOrders = lapOrders(lap);
  const geared = new Array<GearedStint>(program.stints.length);
  for (const members of groups(program.stints)) {
    const first = program.stints[members[0] as number] as Stint;
    const ask = askOf(first, members.length, program.turntableRpm);
    const choice = choose(ask, ownOrders);
    const remaining = printedOrders(choice.pattern, ownOrders, REPORTED_ORDERS);
    const offers = isEven(choice) ? [] : offerTurns(ask, choice, ownOrders);
    const warnings = gearingWarnings(first, ask, choice, remaining, offers);
    members.forEach((index, occurrence) => {
      geared[index] = gearedStint(program.stints[index] as Stint, choice, occurrence, warnings);
    });
  }
  return geared;
}

/** Indices of the stints that are geared together: those of a group that ask the same, else each alone. */
function groups(stints: readonly Stint[]): number[][] {
  const byGroup = new Map<number, number[]>();
  stints.forEach((stint, index) => {
    const members = byGroup.get(stint.group);
    if (members) members.push(index);
    else byGroup.set(stint.group, [index]);
  });
  return [...byGroup.values()].flatMap((members) => {
    const asks = new Set(members.map((index) => askKey(stints[index] as Stint)));
    return asks.size === 1 ? [members] : members.map((index) => [index]);
  });
}

function askKey({ turns, strokesPerMinute, rateTolerance, nudge, clocking }: Stint): string {
  return JSON.stringify([turns, strokesPerMinute, rateTolerance, nudge?.everyStrokes ?? 0, clocking]);
}

function askOf(stint: Stint, occurrences: number, turntableRpm: number): Ask {
  const { clocking } = stint;
  const lap: Ask['lap'] =
    clocking.kind === 'steps'
      ? { kind: 'steps', every: clocking.everyStrokes, turns: clocking.askedDeg / 360 }
      : clocking.kind === 'steady'
        ? { kind: 'steady', turns: clocking.lapTurnsPerTurn }
        : { kind: 'held' };
  return {
    turnsEach: stint.turns,
    occurrences,
    strokesPerTurn: stint.strokesPerMinute / turntableRpm,
    rateTolerance: stint.rateTolerance,
    nudgeEvery: stint.nudge?.everyStrokes ?? 0,
    lap,
  };
}

function gearedStint(stint: Stint, choice: Choice, occurrence: number, warnings: string[]): GearedStint {
  const { pattern } = choice;
  const strokes = pattern.strokes / pattern.occurrences;
  const before = occurrence * strokes;
  const counted = (every: number): number =>
    every > 0 ? Math.floor((before + strokes) / every) - Math.floor(before / every) : 0;
  return {
    stint,
    turns: stint.turns,
    strokes,
    strokesPerTurn: strokes / stint.turns,
    nudges: counted(pattern.nudgeEvery),
    clockings: counted(pattern.clockEvery),
    clockingTurns: choice.lapStep,
    strokesBefore: before,
    rateDeviation: choice.rateDeviation,
    distinctAzimuths: choice.distinct,
    evenness: 1 - choice.worst,
    warnings,
  };
}
