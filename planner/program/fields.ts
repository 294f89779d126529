/** The keys of a stroke program, once: readers and the JSON Schema for editors both come from here. */
import { complain, type Field, formatOne, line, quantity, type Spot, whole, word } from '../reading/fields';
import { group, may, must } from '../reading/groups';
import { addedLoad } from '../shelf/fields';
import { MAX_TURNS } from './types';

const WHOLE_TURNS = {
  least: 1,
  most: MAX_TURNS,
  why: 'Only whole turns end where they began; a part of a turn leaves a wedge of the zone worked less (astigmatism).',
};
const EVERY_STROKE = {
  least: 1,
  most: 100_000,
  why: 'Every stroke, every second, every third ...: only whole numbers.',
};
const ON_GLASS = 10_000;

/** The angle of one turning of the lap; nought and whole turns, which leave it as it stands, are refused. */
const lapAngle: Field<number> = (() => {
  const why = 'A whole turn or none leaves the lap as it stands; write the angle of one clocking.';
  const angle = quantity('angle', { least: -359, most: 359, why }, '40 deg');
  return {
    schema: angle.schema,
    read(spot: Spot) {
      const value = angle.read(spot);
      return value === 0 ? complain(spot, why) : value;
    },
  };
})();

const offset: Field<number> = (() => {
  const why = 'A nudge is set off inwards (positive) or outwards (negative).';
  const length = quantity('length', { least: -ON_GLASS, most: ON_GLASS, why }, '10 mm');
  return {
    schema: length.schema,
    read(spot: Spot) {
      const value = length.read(spot);
      return value === 0 ? complain(spot, `${why} For none leave the nudge out.`) : value;
    },
  };
})();

const everyStroke = whole('strokes', EVERY_STROKE);

export const nudgeGroup = group('a nudge', {
  every: must(everyStroke, 'the strokes that are nudged: every 5th is 5'),
  by: must(offset, 'how far the far end is set off, inwards positive, e.g. 10 mm'),
});

export const stepsGroup = group('a clocking', {
  every: must(everyStroke, 'the strokes that turn the lap: every 3rd is 3'),
  by: must(lapAngle, 'about what angle, anticlockwise positive, e.g. 40 deg'),
  share: may(
    quantity('share', { least: 0.05, most: 0.9, why: 'It is the part of one stroke in which the lap turns.' }, '30 %'),
    'in what part of the stroke the lap turns; 30 % unless given',
  ),
});

export const steadyGroup = group('a steady turning', {
  steady: must(
    quantity('turns', { least: -50, most: 50, why: 'Turns of the lap for one turn of the turntable.' }, '0.37 turns'),
    'turns of the lap for one turn of the turntable, seen from above; negative is clockwise',
  ),
});

export const byHandGroup = group('a turning by hand', {
  byHand: must(
    group('a turning by hand', {
      every: may(whole('turns', WHOLE_TURNS), 'after how many turns; every 3 turns unless given'),
      by: may(lapAngle, 'by what angle; 140 deg unless given'),
    }),
    'a rest at the index, the lap up, until a person has turned it',
  ),
});

const strokeRate = quantity('rate', { above: 0, most: 600, why: 'Double strokes, out and back.' }, '44 /min');

/**
 * `turns` and `atLeast` are optional here: exactly one is wanted, but inside an alternation one turn goes without
 * saying.
 */
export function stintEntries<C>(clock: Field<C>) {
  return {
    turns: may(whole('turns', WHOLE_TURNS), 'how many whole turns'),
    atLeast: may(
      quantity('duration', { above: 0, most: 1e7, why: 'It is rounded up to whole turns.' }, '4 min'),
      'how long at least; rounded up to whole turns',
    ),
    stroke: must(word(['straight', 'ellipse'] as const), 'straight or ellipse'),
    at: must(
      quantity(
        'length',
        { least: 0, most: ON_GLASS, why: 'It is the distance from the middle of the glass.' },
        '90 mm',
      ),
      'the setting radius: distance of the mean track from the middle, e.g. 90 mm',
    ),
    length: must(
      quantity(
        'length',
        { above: 0, most: ON_GLASS, why: 'A stroke without length polishes nothing evenly.' },
        '80 mm',
      ),
      'length of the stroke from end to end, e.g. 80 mm',
    ),
    width: may(
      quantity('length', { above: 0, most: ON_GLASS, why: 'For no width write stroke: straight.' }, '16 mm'),
      'full width of an ellipse',
    ),
    sense: may(word(['anticlockwise', 'clockwise'] as const), 'which way an ellipse is walked, seen from above'),
    nudge: may(nudgeGroup, 'a radial offset at the far end of every n-th stroke'),
    clock: may(clock, 'how the lap turns about its own axis'),
    rate: may(strokeRate, 'double strokes a minute, when other than at the top of the program'),
    rateTolerance: may(
      quantity('share', { above: 0, most: 0.5, why: 'It is how far the gearing may leave the rate.' }, '10 %'),
      'how far the gearing may leave the rate; 10 % unless given',
    ),
  };
}

export const repeatEntries = {
  repeat: must(
    whole('turns', { least: 1, most: MAX_TURNS, why: 'It counts how often the list is worked.' }),
    'how often',
  ),
};
export const alternateEntries = {
  alternate: must(whole('turns', WHOLE_TURNS), 'how many turns altogether, e.g. 12 turns'),
};

export const headerEntries = {
  wholeturn: must(formatOne, 'the format of the file: 1'),
  title: must(line(), 'what people call the program'),
  turntable: must(
    quantity('turntableSpeed', { above: 0, most: 60, why: 'Check the unit.' }, '2.5 rpm'),
    'speed of the turntable, e.g. 2.5 rpm',
  ),
  rate: may(strokeRate, 'double strokes a minute, e.g. 44 /min'),
  load: may(addedLoad, 'what is put on the lap in this program, when other than the lap says, e.g. 4 N'),
};

/** A value kept as it stands, to be read when what it needs is known. */
export const later: Field<Spot> = { schema: {}, read: (spot) => spot };
