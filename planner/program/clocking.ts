/** The `clock` of a stint: a word, or a group told apart by its keys. */
import { isMap } from 'yaml';
import { complain, type Field, type Spot, word, writtenText } from '../reading/fields';
import { byHandGroup, steadyGroup, stepsGroup } from './fields';
import { BY_HAND, CLOCKING_SHARE } from './preset';
import { steadyTrouble } from './trouble';
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
  const text = writtenText(spot.node);
  // A lone angle or ratio: the word is not mistyped, the group around it is missing.
  if (text === null || /^[-+.\d]/.test(text.trim())) {
    return complain(spot, 'Write none, free, by hand, { every: 3, by: 40 deg } or { steady: 0.37 turns }.');
  }
  const read = words.read(spot);
  if (read === undefined) return undefined;
  return read === 'by hand' ? { kind: 'byHand', ...BY_HAND } : { kind: read };
}

function steady(spot: Spot): Clocking | undefined {
  const ratio = steadyGroup.read(spot)?.steady;
  if (ratio === undefined) return undefined;
  const trouble = steadyTrouble(ratio);
  return trouble === null ? { kind: 'steady', lapTurnsPerTurn: ratio } : complain(spot, trouble);
}
