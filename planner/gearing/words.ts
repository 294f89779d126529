/** What the gearing tells the person, in words about the glass. */
import type { Stint } from '../program/types';
import type { Lap } from '../shelf/types';
import { ANGLE_TOLERANCE, type Ask } from './candidates';
import { type Choice, ENOUGH_AZIMUTHS, ENOUGH_EVENNESS, isEven } from './choose';
import { clockingCount, closes, periodStrokes } from './pattern';
import { isScored, lapOrders, type OrderShare } from './score';

const FOLD = ['', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine', 'ten', 'eleven', 'twelve'];
const ON_GLASS = [
  'rings',
  'a one-sided error (coma)',
  'astigmatism',
  'a three-cornered error',
  'a four-cornered error',
];
const MOST_ORDERS = 3;

/** "the lap's two-fold fault would print as astigmatism with 0.83" */
function orderWords({ q, h, nudged, share }: OrderShare): string {
  const fold = FOLD[Math.abs(h)] ?? String(Math.abs(h));
  const cause = h === 0 ? (nudged ? 'the nudges' : 'the strokes') : `the lap's ${fold}-fold fault`;
  const carried = h !== 0 && nudged ? ', carried by the nudges,' : '';
  const figure = ON_GLASS[q] ?? `an error of order ${q}`;
  return `${cause}${carried} would ${q === 0 ? 'stay as' : 'print as'} ${figure} with ${share.toFixed(2)}`;
}

/**
 * Warnings about one gearing.
 *
 * @param remaining its orders, worst first
 * @param offers finds choices with other turns that do better; asked only where something is uneven
 */
export function gearingWarnings(
  stint: Stint,
  lap: Lap,
  { ask, choice }: { ask: Ask; choice: Choice },
  remaining: readonly OrderShare[],
  offers: () => Choice[],
): string[] {
  const offered = (): string =>
    offers()
      .map((offer) => ` ${offerWords(ask, offer)}`)
      .join('');
  const list = [
    rateWords(ask, choice),
    evennessWords(lap, ask, choice, remaining, offered),
    angleWords(ask, choice),
    lapStaysWords(stint, lap, ask),
  ];
  return list.filter((words) => words !== null);
}

function rateWords(ask: Ask, { pattern, rateDeviation }: Choice): string | null {
  if (Math.abs(rateDeviation) <= ask.rateTolerance + 1e-9) return null;
  const strokes = pattern.strokes / pattern.occurrences;
  return (
    `No whole number of strokes in ${turnsWords(ask.turnsEach)} is within ${percent(ask.rateTolerance)} of the wanted rate; ` +
    `${strokes === 1 ? '1 stroke is' : `${strokes} strokes are`} ${percent(Math.abs(rateDeviation))} too ${rateDeviation < 0 ? 'slow' : 'fast'}. ` +
    'Allow the rate more room or take more turns.'
  );
}

function evennessWords(
  lap: Lap,
  ask: Ask,
  choice: Choice,
  remaining: readonly OrderShare[],
  offered: () => string,
): string | null {
  const { pattern, distinct, worst } = choice;
  if (!closes(pattern)) {
    const period = periodStrokes(pattern.nudgeEvery, pattern.clockEvery);
    return (
      `Nudges and clockings repeat every ${period} strokes and no whole number of that fits ${turnsWords(ask.turnsEach)} near the ` +
      `wanted rate: the pattern breaks off and does not come round evenly. Take more turns.${offered()}`
    );
  }
  if (1 - worst < ENOUGH_EVENNESS) {
    const told = remaining.filter((order) => isScored(order, lapOrders(lap)) && order.share > 1 - ENOUGH_EVENNESS);
    return `Uneven round the glass: ${told.slice(0, MOST_ORDERS).map(orderWords).join('; ')}.${offered()}`;
  }
  // Few places matter where the strokes or nudges that fall there leave an order above the scored ones.
  const left = remaining.find(({ h, share }) => h === 0 && share > 1 - ENOUGH_EVENNESS);
  if (distinct < ENOUGH_AZIMUTHS && left) {
    return (
      `The pattern begins anew at only ${distinct} azimuth${distinct === 1 ? '' : 's'} of the glass ` +
      `(${ENOUGH_AZIMUTHS} or more keep low orders out): ${orderWords(left)}.${offered()}`
    );
  }
  return null;
}

function angleWords(ask: Ask, { pattern, lapStep }: Choice): string | null {
  if (ask.lap.kind === 'held') return null;
  const off = Math.abs(lapStep / ask.lap.turns - 1) > ANGLE_TOLERANCE + 1e-9;
  if (ask.lap.kind === 'steady') {
    return off ? `The lap turns ${lapStep.toFixed(3)} times a turn of the glass instead of ${ask.lap.turns}.` : null;
  }
  const clockings = clockingCount(pattern);
  if (clockings === 0) {
    return 'There are fewer strokes than one clocking needs: the lap is not turned, its pattern stays on the glass.';
  }
  if (clockings === 1)
    return 'The lap is clocked only once: its pattern stays on the glass. Take more turns or clock more often.';
  if (!off) return null;
  return (
    `The lap is turned by ${(lapStep * 360).toFixed(1)} deg at each of the ${clockings} clockings, not by ` +
    `${(ask.lap.turns * 360).toFixed(1)} deg, so that it comes round whole.`
  );
}

/** A lap that gearing does not turn: what that means. */
function lapStaysWords(stint: Stint, lap: Lap, ask: Ask): string | null {
  const { clocking } = stint;
  if (clocking.kind === 'byHand') {
    if (handSpells(stint, ask.occurrences) === 1) {
      return 'The lap is not turned by hand within this stint: its pattern stays on the glass. Turn it more often, or take more turns.';
    }
    const left = ordersLeftByHand(stint, ask.occurrences);
    if (left.length === 0) return null;
    const folds = left.map((h) => `${FOLD[h]}-`).join(', ');
    return `Turned by hand in steps of ${clocking.byDeg} deg, the lap keeps its ${folds}fold faults as rings on the glass.`;
  }
  if (lap.rotation === 'free' || clocking.kind === 'free') {
    const idle =
      clocking.kind === 'steps' || clocking.kind === 'steady' ? ' The clocking of this stint does nothing.' : '';
    return (
      'The lap turns freely, about as fast as the turntable, so its own faults may stay in one place on the glass. ' +
      `Evenness speaks of the strokes' azimuths only.${idle}`
    );
  }
  if (clocking.kind !== 'none') return null;
  return "The lap is not clocked: its facets and points stay as rings on the glass. Evenness speaks of the strokes' azimuths only.";
}

/** Lap orders 1..8 of which the hand turnings leave more than 0.3: mean over the spells between them, closed form. */
function ordersLeftByHand(stint: Stint, occurrences: number): number[] {
  if (stint.clocking.kind !== 'byHand') return [];
  const spells = handSpells(stint, occurrences);
  const step = stint.clocking.byDeg / 360;
  const left: number[] = [];
  for (let h = 1; h <= 8; h++) {
    const turn = h * step - Math.round(h * step);
    const share =
      Math.abs(turn) * spells < 1e-9
        ? 1
        : Math.abs(Math.sin(Math.PI * spells * turn) / (spells * Math.sin(Math.PI * turn)));
    if (share > 1 - ENOUGH_EVENNESS) left.push(h);
  }
  return left;
}

/** Spells between the hand turnings; a stint begins with one, the program's first without. */
function handSpells({ turns, clocking }: Stint, occurrences: number): number {
  return clocking.kind === 'byHand' ? occurrences * Math.ceil(turns / clocking.everyTurns) : 0;
}

function offerWords(ask: Ask, offer: Choice): string {
  const turns = offer.pattern.turns / offer.pattern.occurrences;
  const period = periodStrokes(offer.pattern.nudgeEvery, offer.pattern.clockEvery);
  const strokes = offer.pattern.strokes / offer.pattern.occurrences;
  const count = ask.occurrences > 1 ? ` in each of the ${ask.occurrences} occurrences` : '';
  return (
    `${turnsWords(turns)} with ${strokes} strokes${count} would ${isEven(offer) ? 'come out even' : 'do better'}: ` +
    `${offer.pattern.strokes / period} periods, ${offer.distinct} azimuths, evenness ${(1 - offer.worst).toFixed(2)}.`
  );
}

function turnsWords(turns: number): string {
  return turns === 1 ? '1 turn' : `${turns} turns`;
}

function percent(fraction: number): string {
  return `${(100 * fraction).toFixed(1)} %`;
}
