/** The list under `do`: stints, repeats of lists, and alternations, read into a tree and unrolled into stints. */
import { isMap } from 'yaml';
import { complain, type Spot } from '../reading/fields';
import { group, itemsOf, must } from '../reading/groups';
import { alternateEntries, later, repeatEntries } from './fields';
import { type ReadStint, readStint, type Setup } from './stint';
import { MAX_TURNS, type Stint } from './types';

export type Step =
  | { kind: 'stint'; read: ReadStint }
  /** `times` lists one after the other; an alternation is the same once its turns have come out whole. */
  | { kind: 'repeat'; times: number; steps: Step[] };

const repeatGroup = group('a repeat', { ...repeatEntries, do: must(later, 'the list to work again and again') });
const alternateGroup = group('an alternation', {
  ...alternateEntries,
  do: must(later, 'the patterns to work in rotation'),
});

/** Deeper than anybody writes; keeps the recursion bounded. */
const DEEPEST = 8;

interface Walk {
  setup: Setup;
  /** Numbers the stints in the order they are written. */
  nextGroup: number;
}

/** Null means something in the list was complained about. */
export function readSteps(list: Spot, setup: Setup): { spot: Spot; step: Step }[] | null {
  return readList(list, { setup, nextGroup: 0 }, null, 1);
}

function readList(list: Spot, walk: Walk, impliedTurns: 1 | null, depth: number): { spot: Spot; step: Step }[] | null {
  if (depth > DEEPEST) {
    complain(list, `Lists inside lists go ${DEEPEST} deep at most. Take out a level.`);
    return null;
  }
  const items = itemsOf(list, 'stints, repeats or alternations');
  if (!items) return null;
  const read = items.map((spot) => ({ spot, step: readStep(spot, walk, impliedTurns, depth) }));
  const whole = read.filter((each): each is { spot: Spot; step: Step } => each.step !== null);
  return whole.length === read.length ? whole : null;
}

function readStep(spot: Spot, walk: Walk, impliedTurns: 1 | null, depth: number): Step | null {
  if (isMap(spot.node) && spot.node.has('repeat')) return readRepeat(spot, walk, depth);
  if (isMap(spot.node) && spot.node.has('alternate')) return readAlternate(spot, walk, depth);
  const read = readStint(spot, { setup: walk.setup, impliedTurns, group: walk.nextGroup++ });
  return read && { kind: 'stint', read };
}

function readRepeat(spot: Spot, walk: Walk, depth: number): Step | null {
  const parts = repeatGroup.readParts(spot);
  if (!parts) return null;
  const steps = parts.values.do ? readList(parts.values.do, walk, null, depth + 1) : null;
  if (!parts.complete || !steps) return null;
  return { kind: 'repeat', times: parts.complete.repeat, steps: steps.map(({ step }) => step) };
}

function readAlternate(spot: Spot, walk: Walk, depth: number): Step | null {
  const parts = alternateGroup.readParts(spot);
  if (!parts) return null;
  const read = parts.values.do ? readList(parts.values.do, walk, 1, depth + 1) : null;
  if (!parts.complete || !read) return null;
  const steps = read.map(({ step }) => step);
  const turns = parts.complete.alternate;
  const rotation = steps.reduce((sum, step) => sum + turnsIn(step), 0);
  if (turns % rotation === 0) return { kind: 'repeat', times: turns / rotation, steps };
  const fewer = Math.floor(turns / rotation) * rotation;
  const nearest =
    fewer > 0 && fewer + rotation <= MAX_TURNS ? `${fewer} or ${fewer + rotation}` : `${fewer || rotation}`;
  const trouble = `One rotation through these patterns takes ${rotation} turns, so ${turns} do not come out whole`;
  complain(
    parts.spots.alternate ?? spot,
    `${trouble}: one pattern would get more than its share. Nearest: ${nearest} turns.`,
  );
  return null;
}

/** Turns of a step, without unrolling it. May be far too many, even infinite. */
export function turnsIn(step: Step): number {
  if (step.kind === 'stint') return step.read.stint.turns;
  return step.times * step.steps.reduce((sum, each) => sum + turnsIn(each), 0);
}

/** The stints one after the other. Ask `turnsIn` first: what is unrolled has at least a turn each. */
export function* unrolled(step: Step): Generator<Stint> {
  if (step.kind === 'stint') yield { ...step.read.stint };
  else for (let time = 0; time < step.times; time++) for (const each of step.steps) yield* unrolled(each);
}

/** All stints as written, each once, with the turns they get altogether. */
export function* asWritten(step: Step, times = 1): Generator<{ read: ReadStint; turns: number }> {
  if (step.kind === 'stint') yield { read: step.read, turns: times * step.read.stint.turns };
  else for (const each of step.steps) yield* asWritten(each, times * step.times);
}
