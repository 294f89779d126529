/**
 * Finds every axis's reference, lap up, one axis after the other: outward first, so the lap is over the glass's rim and not its
 * middle while the rest is sought. The controller latches the place at which an input changes to within two path ticks, so where the
 * search comes to rest does not matter.
 */
import { AXES, AXIS_COUNT, type Stand } from '../../planner/stand/types';
import type { StandInputs, StandStatus } from '../stand/stand-link';
import { Feeder } from './feeder';
import type { Hands } from './hands';
import { placeOf } from './position';
import { type Procedure, Trouble, until } from './procedure';
import { straightMove } from './straight-move';
import { Travel } from './travel';

/** Limit switches close this far outside the travel, so that a program may use all of it. */
export const SWITCH_BEYOND_MM = 2;
/** Searching speeds, slow enough that easing past a switch takes 2.5 mm of a slide at most. */
const SLIDE_MM_PER_SECOND = 10;
const TURNS_PER_SECOND = 0.04;
/** A search for a limit ends this far inside the travel. */
const INSIDE_MM = 1;
const PEAK_SPEED = 1.875;
/** Searched beyond the travel, or a turn, before the switch is called missing. */
const SLIDE_SPARE_MM = 12;
const TURN_SPARE = 1.15;

type Switch = keyof StandInputs;

interface Reference {
  axis: 'turntable' | 'stroke' | 'radial' | 'lapTurn';
  input: Switch;
  /** The switch at the other end of a slide, if any. */
  opposite: Switch | null;
  direction: 1 | -1;
  words: string;
}

const REFERENCES: readonly Reference[] = [
  {
    axis: 'radial',
    input: 'radialHigh',
    opposite: 'radialLow',
    direction: 1,
    words: 'the outer switch of the radial slide',
  },
  {
    axis: 'stroke',
    input: 'strokeLow',
    opposite: 'strokeHigh',
    direction: -1,
    words: 'the lower switch of the stroke slide',
  },
  {
    axis: 'lapTurn',
    input: 'lapTurnReference',
    opposite: null,
    direction: 1,
    words: 'the reference of the lap rotation',
  },
  { axis: 'turntable', input: 'index', opposite: null, direction: 1, words: 'the index of the turntable' },
];

const LIMITS: readonly Switch[] = ['strokeLow', 'strokeHigh', 'radialLow', 'radialHigh'];

/** Returns where the axes stand then, whole steps from the stand's zero. Queue empty before and after. */
export function* reference(hands: Hands): Procedure<readonly number[]> {
  yield* leaveLimits(hands);
  const steps = new Array<number>(AXIS_COUNT).fill(0);
  for (const one of REFERENCES) {
    const axis = AXES.indexOf(one.axis);
    const found = yield* findOne(hands, one);
    steps[axis] = Math.round(edgeSteps(one, hands.stand)) + found;
  }
  return steps;
}

/** Where the switch closes, steps from the stand's zero. */
function edgeSteps({ axis, direction }: Reference, stand: Stand): number {
  const { unit, min = 0, max = 0, stepsPerUnit } = stand.axes[axis];
  if (unit === 'turn') return 0;
  return (direction > 0 ? max + SWITCH_BEYOND_MM : min - SWITCH_BEYOND_MM) * stepsPerUnit;
}

/** A slide that stands on one of its switches goes off it, before anything else is sought. */
function* leaveLimits(hands: Hands): Procedure {
  for (const one of REFERENCES) {
    const { axis, input, opposite, direction } = one;
    const { inputs } = yield* until(() => true, 0, '');
    if (opposite === null || !(inputs[input] || inputs[opposite])) continue;
    if (hands.fewInputs)
      throw new Trouble(
        'an end switch, and with switches in series nobody can tell which; move both slides inside by hand',
      );
    if (inputs[input] && inputs[opposite])
      throw new Trouble(`both end switches of the ${axis} slide at once; look for a cut wire or a plug that is out`);
    if (inputs[input]) yield* search(hands, one, input, false, -direction);
    else yield* search(hands, one, opposite, false, direction);
  }
}

/** Steps from its switch's edge to where the axis came to rest: clear of the switch, if it is a limit. */
function* findOne(hands: Hands, one: Reference): Procedure<number> {
  const { input, opposite, direction } = one;
  // A board without this reference takes the lap as it was put on.
  if (hands.fewInputs && input === 'lapTurnReference') return 0;
  if (opposite === null) {
    const { inputs } = yield* until(() => true, 0, '');
    // What turns leaves its mark going on, and comes to it again from the same side.
    if (inputs[input]) yield* search(hands, one, input, false, direction);
    const { latched, stood } = yield* search(hands, one, input, true, direction);
    return stood - latched;
  }
  const { latched, stood } = yield* search(hands, one, input, true, direction);
  const back = yield* search(hands, one, input, false, -direction);
  return yield* backIntoTravel(hands, one, stood - latched + back.stood);
}

/** From just off a limit switch to well inside the travel; steps from the switch's edge, before and after. */
function* backIntoTravel(hands: Hands, { axis, direction }: Reference, fromEdge: number): Procedure<number> {
  const { stand } = hands;
  const number = AXES.indexOf(axis);
  const inside = -direction * Math.ceil((SWITCH_BEYOND_MM + INSIDE_MM) * stand.axes[axis].stepsPerUnit);
  if (direction * (inside - fromEdge) >= 0) return fromEdge;
  const at = (steps: number): number[] => Array.from({ length: AXIS_COUNT }, (_, i) => (i === number ? steps : 0));
  const move = straightMove(placeOf(at(fromEdge), stand), placeOf(at(inside), stand), stand);
  if (move === null) return fromEdge;
  const steps = yield* hands.move({ ...move, fromSteps: at(fromEdge), search: true }, new Travel());
  return steps[number]!;
}

/** Other limits that a search must not take for a stop: those it cannot tell from its own, and those another slide stands on. */
function standingLimits(
  { fewInputs }: Hands,
  inputs: StandInputs,
  input: Switch,
  level: boolean,
): Partial<StandInputs> {
  if (!LIMITS.includes(input)) return {};
  const others = LIMITS.filter((one) => one !== input && (fewInputs || inputs[one]));
  return Object.fromEntries(others.map((one) => [one, fewInputs && level]));
}

/** Walks one axis until an input has a level; steps from the search's start to where that was and to where it came to rest. */
function* search(
  hands: Hands,
  { axis, words }: Reference,
  input: Switch,
  level: boolean,
  direction: number,
): Procedure<{ latched: number; stood: number }> {
  const { link, stand } = hands;
  const number = AXES.indexOf(axis);
  const { stepsPerUnit, unit, min = 0, max = 0 } = stand.axes[axis];
  const distance = unit === 'turn' ? TURN_SPARE : max - min + 2 * SWITCH_BEYOND_MM + SLIDE_SPARE_MM;
  const seconds = (PEAK_SPEED * distance) / (unit === 'turn' ? TURNS_PER_SECOND : SLIDE_MM_PER_SECOND);
  const from = new Array<number>(AXIS_COUNT).fill(0);
  const to = [...from];
  to[number] = direction * distance * stepsPerUnit;
  const move = straightMove(placeOf(from, stand), placeOf(to, stand), stand, seconds);
  if (move === null) throw new Trouble(`a stand whose ${axis} axis has no length`);
  const feeder = new Feeder(link, { ...move, fromSteps: from, search: true }, stand, new Travel());
  // Sent again at the end or, where the search is cut short, by whoever stops it.
  const before = yield* until(() => true, 0, '');
  link.seek({ inputs: { ...standingLimits(hands, before.inputs, input, level), [input]: level } });
  yield* until((status) => status.seek.on, 2, 'a stand that does not begin a search');
  let paced = false;
  const walked = (status: StandStatus): boolean => {
    if (status.seek.latched === null) feeder.feed();
    if (!paced && status.segmentsAccepted > 0) {
      paced = true;
      link.pace(1);
    }
    return paced && status.atRest && (status.seek.latched !== null || feeder.isEnd(status.place));
  };
  const status = yield* until(walked, move.law.durationSeconds + 5, `a search for ${words} that does not end`);
  const { latched } = status.seek;
  if (latched === null) throw new Trouble(`a search that did not find ${words}`);
  const stood = yield* hands.flush();
  link.seek(null);
  return { latched: feeder.stepsAt(latched)[number]!, stood: feeder.stepsAt(stood)[number]! };
}
