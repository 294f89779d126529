/** The sentences of the Plan page. */
import { describe, expect, it } from 'vitest';
import type { StintForecast } from '../../planner/removal/types';
import { REMOVAL_COEFFICIENT } from '../../web-ui/plan/assumptions';
import { draftOf, programOf, writtenStints } from '../../web-ui/plan/draft';
import { forecast } from '../../web-ui/plan/forecast';
import {
  cardWords,
  differences,
  evennessWords,
  gearedClockWords,
  gearedRateWords,
  headline,
  inUnit,
  nmWords,
  noteWords,
  type Pinned,
  pinOf,
  rimWords,
  ringWords,
  trackWords,
} from '../../web-ui/plan/plan-words';
import { exampleText, readWell } from '../program/reading';
import { demoStand } from '../support/programs';

const draft = draftOf(readWell(exampleText('raised-ring.yaml')));
const ask = {
  number: 1,
  program: programOf(draft),
  stand: demoStand,
  kPerPa: REMOVAL_COEFFICIENT.usual,
  standing: 'end of the stroke' as const,
  stint: 1,
};
const whole = forecast({ ...ask, whole: true });

describe('the headline', () => {
  it('says what comes off, where, and how long it takes', () => {
    expect(headline(whole, 33, 0, 'mm')).toMatch(/^Takes \d+ nm off at 8\d(\.\d)? mm, in 33 turns and 13:\d\d min$/);
    expect(headline(whole, 33, 0, 'in')).toMatch(/off at 3\.\d+ in,/);
  });

  it('says that something must be mended before anything else', () => {
    expect(headline(whole, 33, 2, 'mm')).toBe('33 turns that cannot be worked yet: 2 things to mend');
    expect(headline(null, 1, 1, 'mm')).toBe('1 turn that cannot be worked yet: 1 thing to mend');
  });

  it('waits for the first forecast', () => {
    expect(headline(null, 33, 0, 'mm')).toBe('Reckoning …');
  });
});

describe('notes', () => {
  it('are none where there is nothing to note', () => {
    expect(noteWords(whole, whole)).toEqual([]);
    expect(noteWords(null, null)).toEqual([]);
  });

  it('name uneven stints, rests, and what stays behind', () => {
    const geared = { ...whole.geared, 2: { ...whole.geared[2]!, evenness: 0.4 } };
    const rests = [
      { turns: 3, reason: 'hand clocking' as const },
      { turns: 6, reason: 'hand clocking' as const },
      { turns: 9, reason: 'pattern change' as const },
    ];
    const remainders = whole.prediction!.remainders.map((each, index) => ({ ...each, warns: index === 1 }));
    const much = { ...whole, prediction: { ...whole.prediction!, remainders } };
    const notes = noteWords({ ...whole, geared, rests }, much);
    expect(notes).toHaveLength(4);
    expect(notes.join(' ')).toContain('stint 2.');
    expect(notes.join(' ')).toContain('rests 2 times for you');
    expect(notes.join(' ')).toContain('rests 1 time where the pattern changes');
    expect(notes.join(' ')).toContain('lap pattern');
  });
});

describe('the rim-and-middle report', () => {
  const stint = whole.stint!;

  it('goes from left to right as the person sees it', () => {
    expect(rimWords(stint, 'mm').map(({ name }) => name)).toEqual([
      'Left rim of the lap',
      'Middle of the lap',
      'Right rim of the lap',
    ]);
    const turned = forecast({ ...ask, standing: 'start of the stroke', whole: false }).stint!;
    const words = rimWords(turned, 'mm');
    expect(words.map(({ name }) => name)).toEqual(['Left rim of the lap', 'Middle of the lap', 'Right rim of the lap']);
    expect(words[0]!.where).toBe('outer, at 130 mm');
    const side = forecast({ ...ask, standing: 'working side', whole: false }).stint!;
    expect(rimWords(side, 'mm').map(({ name }) => name)[0]).toBe('Far rim of the lap');
  });

  it('says where there is no flank, and where a rim is beyond the middle', () => {
    const across: StintForecast = {
      ...stint,
      innerRim: { ...stint.innerRim, radiusMm: -12, width1090Mm: null },
      outerRim: { ...stint.outerRim, width1090Mm: null },
    };
    const [inner, , outer] = rimWords(across, 'mm');
    expect(inner).toMatchObject({ where: 'inner, at 12 mm, beyond the middle of the glass' });
    expect(inner!.edge).toContain('through the middle');
    expect(outer!.edge).toContain('the edge cuts it off');
  });

  it('tells the track, and the sense only where it matters', () => {
    expect(trackWords({ ...stint, senseShiftMm: 0.01 }, 'mm')).not.toContain('sense');
    expect(trackWords({ ...stint, senseShiftMm: -1.3 }, 'mm')).toContain('by 1.3 mm inward');
  });
});

describe('evenness', () => {
  const geared = whole.geared[1]!;
  it('has a word for the number', () => {
    expect(evennessWords({ ...geared, evenness: 0.95 }, 11)).toMatch(
      /^Even round the glass: 0.95 of 1, with \d+ strokes in 11 turns\.$/,
    );
    expect(evennessWords({ ...geared, evenness: 0.75 }, 1)).toMatch(/^Even enough .* in 1 turn\.$/);
    expect(evennessWords({ ...geared, evenness: 0.3 }, 11)).toMatch(/^Uneven/);
  });

  it('counts the places on the ring', () => {
    expect(ringWords(whole.ring)).toMatch(
      /^The strokes turn round at \d+ azimuths .* Nudged ends fall on \d+ azimuths\.$/,
    );
    expect(ringWords({ ...whole.ring, counts: { near: 3, far: 3, nudged: 0 } })).not.toContain('Nudged');
  });

  it('tells what became of rate and angle only where they changed', () => {
    const rate = geared.strokesPerTurn * 2.5;
    expect(gearedRateWords(geared, 2.5, rate)).toBeNull();
    expect(gearedRateWords(geared, 2.5, 44)).toContain(`becomes ${rate.toFixed(2)} a minute`);
    expect(gearedClockWords({ ...geared, clockingTurns: 0 }, 'steps')).toBeNull();
    expect(gearedClockWords({ ...geared, clockingTurns: 0.125, clockings: 8 }, 'steps')).toBe('becomes 45.0°, 8 times');
    expect(gearedClockWords({ ...geared, clockingTurns: 0.37 }, 'steady')).toBe('becomes 0.370 turns');
  });
});

describe('against what was pinned', () => {
  const hill = (heightNm: number, atMm: number, widthMm: number): Float64Array =>
    Float64Array.from({ length: 301 }, (_, j) => heightNm * Math.exp(-(((0.5 * j - atMm) / widthMm) ** 2)));
  const pinned = (height: number, at: number, width: number, part: Partial<Pinned> = {}): Pinned => ({
    profile: { stepMm: 0.5, depthNm: hill(height, at, width), stintNm: hill(0, at, width) },
    turns: 11,
    durationSeconds: 264,
    remainders: null,
    ...part,
  });

  it('there is nothing to say of the same', () => {
    expect(differences(pinned(40, 90, 20), pinned(40, 90, 20), 'mm')).toEqual(['No difference that shows.']);
  });

  it('depth, place and breadth are told with both numbers', () => {
    const words = differences(pinned(52, 96, 12), pinned(40, 90, 20), 'mm');
    expect(words[0]).toBe('12 nm deeper: 40 nm before, 52 nm now.');
    expect(words[1]).toBe('The deepest place lies 6 mm further out.');
    expect(words[2]).toMatch(/^Narrower: nine tenths lie within [\d.]+ mm instead of [\d.]+ mm\.$/);
    expect(words[3]).toMatch(/^Most different at [\d.]+ mm: \d+ nm (more|less) comes off there\.$/);
  });

  it('time, turns and remainders too', () => {
    const left = (value: number) => [{ name: 'lap pattern', value, unit: 'nm' }];
    const words = differences(
      pinned(40, 90, 20, { turns: 9, durationSeconds: 200, remainders: left(6) }),
      pinned(40, 90, 20, { remainders: left(1.2) }),
      'mm',
    );
    expect(words).toEqual(['2 turns fewer.', '1:04 min shorter.', 'More lap pattern: 6.0 nm instead of 1.2 nm.']);
  });

  it('a forecast that is refused cannot be pinned', () => {
    expect(pinOf({ ...whole, profile: null }, 33)).toBeNull();
    expect(pinOf({ ...whole, durationSeconds: null }, 33)).toBeNull();
    expect(pinOf(whole, 33)).toMatchObject({ turns: 33 });
  });
});

it('cards name shape and place', () => {
  const [first, , third] = writtenStints(draft);
  expect(cardWords(first!, 'mm')).toEqual({ first: '11 turns', second: 'straight 80 mm at 90 mm, nudged' });
  expect(cardWords({ ...third!, turns: 1 }, 'in')).toEqual({
    first: '1 turn',
    second: 'elliptical 3.15 in at 3.54 in',
  });
});

it('the planner’s millimetres become inches for who measures in them', () => {
  const sentence = 'needs 113.2 mm and 400 mm/s, at 3000 mm/s2, 12 nm deep, -8 mm, 0.5 mm';
  expect(inUnit(sentence, 'mm')).toBe(sentence);
  expect(inUnit(sentence, 'in')).toBe('needs 4.46 in and 15.75 in/s, at 118.11 in/s2, 12 nm deep, -0.31 in, 0.02 in');
});

it('small depths keep a digit', () => {
  expect([0, 0.04, 9.94, 9.96, 81.6].map(nmWords)).toEqual(['0.0 nm', '0.0 nm', '9.9 nm', '10 nm', '82 nm']);
});
