/** The `clock` of a stint: a word, or a group told apart by its keys. */
import { isMap } from 'yaml';
import { complain, type Field, type Spot, word, writtenText } from '../reading/fields';
import type { Lap } from '../shelf/types';
import { BY_HAND, byHandGroup, CLOCKING_SHARE, steadyGroup, stepsGroup } from './fields';
import type { Clocking } from './types';

const words = word(['none', 'free', 'by hand'] as const);

export const clockField: Field<Clocking> = {
  schema: { anyOf: [words.schema, stepsGroup.schema, steadyGroup.schema, byHandGroup.schema] },
  read(spot) {
    if (!isMap(spot.node)) return fromWord(spot);
    if (spot.node.has('steady')) return steady(spot);
    if (spot.node.has('byHand')) {
      const read = byHandGroup.read(spot)?.byHand;
      return read && { kind: 'byHand', everyTurns: read.every ?? BY_HAND.everyTurns, byDeg: read.by ?? BY_HAND.byDeg };
    }
    const read = stepsGroup.read(spot);
    return read && { kind: 'steps', everyStrokes: read.every, askedDeg: read.by, share: read.share ?? CLOCKING_SHARE };
  },
};

function fromWord(spot: Spot): Clocking | undefined {
  if (writtenText(spot.node) === null) {
    return complain(spot, 'Write none, free, by hand, { every: 3, by: 40 deg } or { steady: 0.37 turns }.');
  }
  const read = words.read(spot);
  if (read === undefined) return undefined;
  return read === 'by hand' ? { kind: 'byHand', ...BY_HAND } : { kind: read };
}

/** Ratios with so small a denominator bring the same face of the lap to the same place of the glass again and again. */
const LOWEST_DENOMINATOR = 4;

function steady(spot: Spot): Clocking | undefined {
  const ratio = steadyGroup.read(spot)?.steady;
  if (ratio === undefined) return undefined;
  for (let turns = 1; turns <= LOWEST_DENOMINATOR; turns++) {
    if (Math.abs(ratio * turns - Math.round(ratio * turns)) > 1e-9) continue;
    const when = turns === 1 ? 'every turn' : `every ${turns} turns`;
    const message = [
      `With ${ratio} turns of the lap to one of the turntable the same face of the lap meets the same place of the glass ${when}:`,
      'its faults print there and the glass does not stay round. Take an uneven ratio, e.g. 0.37.',
    ];
    return complain(spot, message.join(' '));
  }
  return { kind: 'steady', lapTurnsPerTurn: ratio };
}

/** Why this clocking cannot be done with this lap, or null. */
export function clockingTrouble(clocking: Clocking, lap: Omit<Lap, 'id'>): string | null {
  if (lap.rotation === 'driven' && clocking.kind === 'free') {
    const remedy = 'Choose a lap with rotation: free, or another clock.';
    return `"${lap.title}" is held by the stand and cannot turn freely. ${remedy}`;
  }
  if (lap.rotation === 'free' && clocking.kind !== 'free') {
    const remedy = 'Write clock: free or leave it out, or choose a driven lap.';
    return `"${lap.title}" turns as friction will have it: nothing clocks or holds it. ${remedy}`;
  }
  return null;
}
