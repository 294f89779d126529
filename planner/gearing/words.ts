/** What the gearing tells the person, in words about the glass. */
import type { Stint } from '../program/types';
import { type Ask, type Choice, ENOUGH_AZIMUTHS, ENOUGH_EVENNESS, isEven } from './choose';
import { clockingCount, closes, periodStrokes } from './pattern';
import type { OrderShare } from './score';

const FOLD = ['', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine', 'ten', 'eleven', 'twelve'];
const ON_GLASS = [
  'rings',
  'a one-sided error (coma)',
  'astigmatism',
  'a three-cornered error',
  'a four-cornered error',
];

/** "the lap's two-fold fault would print as astigmatism with 0.83" */
export function orderWords({ q, h, nudged, share }: OrderShare): string {
  const fold = FOLD[Math.abs(h)] ?? String(Math.abs(h));
  const cause = h === 0 ? (nudged ? 'the nudges' : 'the strokes') : `the lap's ${fold}-fold fault`;
  const carried = h !== 0 && nudged ? ', carried by the nudges,' : '';
  const figure = ON_GLASS[q] ?? `an error of order ${q}`;
  return `${cause}${carried} would ${q === 0 ? 'stay as' : 'print as'} ${figure} with ${share.toFixed(2)}`;
}

/** Warnings about one gearing. `remaining`: its orders, worst first. `offers`: choices with other turns that do better. */
export function gearingWarnings(
  stint: Stint,
  ask: Ask,
  choice: Choice,
  remaining: readonly OrderShare[],
  offers: readonly Choice[],
): string[] {
  const warnings: string[] = [];
  const { pattern, distinct, worst } = choice;
  const offered = offers.map((offer) => ` ${offerWords(ask, offer)}`).join('');
  if (Math.abs(choice.rateDeviation) > ask.rateTolerance + 1e-9) {
    warnings.push(
      `No whole number of strokes in ${turnsWords(ask.turnsEach)} is within ${percent(ask.rateTolerance)} of the wanted rate; ` +
        `${pattern.strokes / pattern.occurrences} strokes differ by ${percent(choice.rateDeviation)}. ` +
        'Allow the rate more room or take more turns.',
    );
  }
  if (!closes(pattern)) {
    const period = periodStrokes(pattern.nudgeEvery, pattern.clockEvery);
    warnings.push(
      `Nudges and clockings repeat every ${period} strokes and no whole number of that fits ${turnsWords(ask.turnsEach)} near the ` +
        `wanted rate: the pattern breaks off and does not come round evenly. Take more turns.${offered}`,
    );
  } else if (1 - worst < ENOUGH_EVENNESS) {
    const list = remaining.filter(({ share }) => share > 1 - ENOUGH_EVENNESS).slice(0, 3);
    warnings.push(`Uneven round the glass: ${list.map(orderWords).join('; ')}.${offered}`);
  } else if (distinct < ENOUGH_AZIMUTHS) {
    warnings.push(
      `The pattern begins at only ${distinct} azimuths of the glass (${ENOUGH_AZIMUTHS} or more keep low orders out).${offered}`,
    );
  }
  const clockings = clockingCount(pattern);
  if (ask.lap.kind === 'steps' && Math.abs(choice.lapStep / ask.lap.turns - 1) > 0.25) {
    warnings.push(
      `With only ${clockings} clockings the lap is turned by ${(choice.lapStep * 360).toFixed(1)} deg each instead of ` +
        `${(ask.lap.turns * 360).toFixed(1)} deg, so that it comes round whole.`,
    );
  }
  if (ask.lap.kind === 'steps' && clockings === 0) {
    warnings.push(
      'There are fewer strokes than one clocking needs: the lap is not turned, its pattern stays on the glass.',
    );
  }
  const stays = lapStaysWords(stint, ask);
  if (stays) warnings.push(stays);
  return warnings;
}

/** A lap that gearing does not turn: what that means. */
function lapStaysWords(stint: Stint, ask: Ask): string | null {
  switch (stint.clocking.kind) {
    case 'none':
      return "The lap is not clocked: its facets and points stay as rings on the glass. Evenness speaks of the strokes' azimuths only.";
    case 'free':
      return (
        'The lap turns freely, about as fast as the turntable, so its own faults may stay in place on the glass. ' +
        "Evenness speaks of the strokes' azimuths only."
      );
    case 'byHand': {
      const left = ordersLeftByHand(stint, ask.turnsEach * ask.occurrences);
      return left.length > 0
        ? `Turned by hand, the lap keeps its ${left.map((h) => FOLD[h]).join('-, ')}-fold faults as rings on the glass.`
        : null;
    }
    default:
      return null;
  }
}

/** Lap orders 1..8 of which the hand turnings leave more than 0.3 (mean over the spells between them, closed form). */
export function ordersLeftByHand(stint: Stint, turns: number): number[] {
  if (stint.clocking.kind !== 'byHand') return [];
  const spells = Math.ceil(turns / stint.clocking.everyTurns);
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

function offerWords(ask: Ask, offer: Choice): string {
  const turns = offer.pattern.turns / offer.pattern.occurrences;
  const period = periodStrokes(offer.pattern.nudgeEvery, offer.pattern.clockEvery);
  const strokes = offer.pattern.strokes / offer.pattern.occurrences;
  const count = ask.occurrences > 1 ? ` in each of the ${ask.occurrences} occurrences` : '';
  return (
    `${turnsWords(turns)} with ${strokes} strokes${count} ${isEven(offer) ? 'would come out even' : 'would do better'}: ${offer.pattern.strokes / period} periods, ` +
    `${offer.distinct} azimuths, evenness ${(1 - offer.worst).toFixed(2)}.`
  );
}

function turnsWords(turns: number): string {
  return turns === 1 ? '1 turn' : `${turns} turns`;
}

function percent(fraction: number): string {
  return `${(100 * fraction).toFixed(1)} %`;
}
