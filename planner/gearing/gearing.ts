/**
 * Gearing: whole strokes in whole turns, an exact clocking angle, and how evenly that works round the glass.
 *
 * Stints of one group (the occurrences of one line in a repeat) are geared as one long stint when they ask the same: nudges and
 * clockings count on from one to the next. Stints of a group that differ are geared each alone. What other stints turn the lap by in
 * between is known only when they are geared too: so all are geared by themselves first, then each anew with that in mind.
 */
import type { Program, Stint } from '../program/types';
import type { Lap } from '../shelf/types';
import type { Ask } from './candidates';
import { type Choice, choose, offerTurns } from './choose';
import { clockingCount, lapTakesTurns } from './pattern';
import { lapOrders, type OrderShare, printedOrders, REPORTED_ORDERS, scorePattern } from './score';
import type { GearedStint } from './types';
import { gearingWarnings } from './words';

/** Occurrences up to which a group is chosen anew for what other stints turn the lap by; above, that is only scored. */
const MOST_RECHOSEN = 1000;
const SWEEPS = 2;
/** Worst share with which a choice is left as it is. */
const GOOD_ENOUGH = 0.1;

/** The gearing of one group of stints. */
export interface GroupGearing {
  /** Indices of its stints in the program. */
  members: number[];
  ask: Ask;
  choice: Choice;
  /** Orders up to 8 (and the lap's own) that are not averaged out, worst first. */
  remaining: OrderShare[];
}

/**
 * Gears every stint of a program, in the program's order.
 *
 * @param lap the lap whose own orders (star points, facets) are scored; the program's unless given
 */
export function gearProgram(program: Program, lap: Lap = program.lap): GearedStint[] {
  const ownOrders = lapOrders(lap);
  const geared = new Array<GearedStint>(program.stints.length);
  for (const group of gearGroups(program, lap)) {
    const { members, ask, choice, remaining } = group;
    const offers = (): Choice[] => offerTurns(ask, choice, ownOrders);
    const warnings = gearingWarnings(program.stints[members[0] as number] as Stint, lap, group, remaining, offers);
    members.forEach((index, occurrence) => {
      geared[index] = gearedStint(program.stints[index] as Stint, choice, occurrence, warnings);
    });
  }
  return geared;
}

/** The gearing behind `gearProgram`, group by group, with the orders that remain: what the Evenness drawing tells about. */
export function gearGroups(program: Program, lap: Lap = program.lap): GroupGearing[] {
  const ownOrders = lapOrders(lap);
  const { stints } = program;
  const groups = groupMembers(stints).map((members) => {
    const ask = askOf(stints[members[0] as number] as Stint, members.length, program.turntableRpm, lap);
    return { members, ask, choice: choose(ask, ownOrders), remaining: [] as OrderShare[] };
  });
  const interleaved = groups.filter(
    ({ members }) => (members.at(-1) as number) - (members[0] as number) >= members.length,
  );
  for (let sweep = 0; sweep < SWEEPS; sweep++) {
    for (const group of interleaved) {
      if (group.members.length > MOST_RECHOSEN || !lapTakesTurns(group.choice.pattern)) continue;
      const offsets = lapOffsets(stints, groups, group);
      if (scorePattern(group.choice.pattern, ownOrders, offsets).worst <= GOOD_ENOUGH) continue;
      group.choice = choose(group.ask, ownOrders, offsets);
    }
  }
  for (const group of groups) {
    const offsets = interleaved.includes(group) ? lapOffsets(stints, groups, group) : undefined;
    if (offsets) group.choice.worst = scorePattern(group.choice.pattern, ownOrders, offsets).worst;
    group.remaining = printedOrders(group.choice.pattern, ownOrders, REPORTED_ORDERS, offsets);
  }
  return groups;
}

/** Indices of the stints that are geared together: those of a group that ask the same, else each alone. */
function groupMembers(stints: readonly Stint[]): number[][] {
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

function askOf(stint: Stint, occurrences: number, turntableRpm: number, lap: Lap): Ask {
  const { clocking } = stint;
  const driven = lap.rotation === 'driven';
  return {
    turnsEach: stint.turns,
    occurrences,
    strokesPerTurn: stint.strokesPerMinute / turntableRpm,
    rateTolerance: stint.rateTolerance,
    nudgeEvery: stint.nudge?.everyStrokes ?? 0,
    lap:
      driven && clocking.kind === 'steps'
        ? { kind: 'steps', every: clocking.everyStrokes, turns: clocking.askedDeg / 360 }
        : driven && clocking.kind === 'steady'
          ? { kind: 'steady', turns: clocking.lapTurnsPerTurn }
          : { kind: 'held' },
  };
}

/** Lap turns that the stints of other groups have made before each occurrence of a group. */
function lapOffsets(stints: readonly Stint[], groups: readonly GroupGearing[], own: GroupGearing): Float64Array {
  const turned = new Float64Array(stints.length);
  for (const group of groups) {
    if (group === own) continue;
    group.members.forEach((index, occurrence) => {
      turned[index] = lapTurnsOf(stints[index] as Stint, group.choice, occurrence);
    });
  }
  const offsets = new Float64Array(own.members.length);
  let sum = 0;
  let occurrence = 0;
  for (let index = 0; index < stints.length && occurrence < offsets.length; index++) {
    if (index === own.members[occurrence]) offsets[occurrence++] = sum;
    sum += turned[index] as number;
  }
  return offsets;
}

/** Turns of the lap in the stand over one occurrence, by the axis or by hand. */
function lapTurnsOf(stint: Stint, choice: Choice, occurrence: number): number {
  const { clocking } = stint;
  if (clocking.kind === 'byHand') return (Math.ceil(stint.turns / clocking.everyTurns) * clocking.byDeg) / 360;
  if (clocking.kind === 'steady') return choice.lapStep * stint.turns;
  return choice.lapStep * countedIn(choice, choice.pattern.clockEvery, occurrence);
}

/** How many of every n-th strokes fall into one occurrence. */
function countedIn({ pattern }: Choice, every: number, occurrence: number): number {
  if (every === 0) return 0;
  const strokes = pattern.strokes / pattern.occurrences;
  return Math.floor(((occurrence + 1) * strokes) / every) - Math.floor((occurrence * strokes) / every);
}

function gearedStint(stint: Stint, choice: Choice, occurrence: number, warnings: string[]): GearedStint {
  const { pattern } = choice;
  const strokes = pattern.strokes / pattern.occurrences;
  const turned = pattern.clockEvery === 0 || clockingCount(pattern) > 0;
  return {
    stint,
    turns: stint.turns,
    strokes,
    strokesPerTurn: strokes / stint.turns,
    nudges: countedIn(choice, pattern.nudgeEvery, occurrence),
    clockings: countedIn(choice, pattern.clockEvery, occurrence),
    clockingTurns: turned ? choice.lapStep : 0,
    strokesBefore: occurrence * strokes,
    rateDeviation: choice.rateDeviation,
    distinctAzimuths: choice.distinct,
    evenness: 1 - choice.worst,
    warnings,
  };
}
