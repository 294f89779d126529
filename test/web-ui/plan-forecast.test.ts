/** The forecast of a plan against the planner's own, and what the page adds to it. */
import { describe, expect, it } from 'vitest';
import { gearGroups, gearProgram } from '../../planner/gearing/gearing';
import { planProgram } from '../../planner/path/plan';
import type { Program } from '../../planner/program/types';
import { predict } from '../../planner/removal/predict';
import { REMOVAL_COEFFICIENT } from '../../web-ui/plan/assumptions';
import { draftOf, programOf } from '../../web-ui/plan/draft';
import { type ForecastAsk, forecast } from '../../web-ui/plan/forecast';
import { Latest } from '../../web-ui/plan/latest';
import { exampleText, readWell } from '../program/reading';
import { demoStand, program } from '../support/programs';

const kPerPa = REMOVAL_COEFFICIENT.usual;
const ring = programOf(draftOf(readWell(exampleText('raised-ring.yaml'))));
const ask = (of: Program, part: Partial<ForecastAsk> = {}): ForecastAsk => ({
  number: 1,
  program: of,
  stand: demoStand,
  kPerPa,
  standing: 'end of the stroke',
  stint: 1,
  whole: false,
  ...part,
});
const plan = planProgram(ring, demoStand);
const standing = 'end of the stroke';
const predicted = predict(ring, plan, { kPerPa, standing });

describe('a forecast', () => {
  it('is the planner’s own when it is whole', () => {
    const { prediction, durationSeconds, number } = forecast(ask(ring, { whole: true, number: 17 }));
    expect(prediction).toEqual(predicted);
    expect(durationSeconds).toBe(plan.law!.durationSeconds);
    expect(number).toBe(17);
  });

  it('has the same profile when it is light, but for the rings that the lap pattern leaves', () => {
    const light = forecast(ask(ring));
    expect(light.prediction).toBeNull();
    const { depthNm } = light.profile!;
    expect(depthNm).toHaveLength(predicted.removalNm.length);
    for (let j = 0; j < depthNm.length; j++)
      expect(Math.abs(depthNm[j]! - predicted.removalNm[j]!)).toBeLessThan(predicted.lapPatternNm + 1e-9);
  });

  it('gives a repeated stint the depth of all its occurrences, and all stints together the whole', () => {
    const shares = [1, 2, 3, 4].map((stint) => forecast(ask(ring, { stint })).profile!);
    const j = 180;
    const sum = shares.reduce((total, { stintNm }) => total + stintNm[j]!, 0);
    expect(sum).toBeCloseTo(shares[0]!.depthNm[j]!, 9);
    const once = predicted.stints.filter(({ line }) => line === 2);
    expect(once).toHaveLength(4);
    const all = forecast(ask(ring, { stint: 2 })).stint!;
    expect(all.middle.depthNm).toBeCloseTo(
      once.reduce((total, { middle }) => total + middle.depthNm, 0),
      9,
    );
    expect(all.middle.radiusMm).toBe(90);
  });

  it('names the rims from where the person stands', () => {
    const seen = (from: ForecastAsk['standing']) => forecast(ask(ring, { standing: from })).stint!.innerRim.seen;
    expect(seen('end of the stroke')).toBe('left');
    expect(seen('start of the stroke')).toBe('right');
    expect(seen('working side')).toBe('far');
  });

  it('reads the depth of a rim beyond the middle on its other side', () => {
    const across = program([{ turns: 9, settingMm: 10, lengthMm: 40 }]);
    const { stint, profile } = forecast(ask({ ...across, stints: across.stints.map((one) => ({ ...one, line: 1 })) }));
    expect(stint!.innerRim.radiusMm).toBe(-20);
    expect(stint!.innerRim.depthNm).toBeCloseTo(profile!.stintNm[40]!, 9);
    expect(stint!.innerRim.depthNm).toBeGreaterThan(0);
  });

  it('scales with the removal coefficient', () => {
    const twice = forecast(ask(ring, { kPerPa: 2 * kPerPa })).profile!.depthNm;
    const once = forecast(ask(ring)).profile!.depthNm;
    expect(twice[180]! / once[180]!).toBeCloseTo(2, 9);
  });

  it('says what the gearing made of each stint, by its number', () => {
    const geared = gearProgram(ring);
    const { geared: told } = forecast(ask(ring));
    expect(told[1]).toMatchObject({ strokes: geared[0]!.strokes, evenness: geared[0]!.evenness });
    expect(told[4]).toMatchObject({ strokes: geared.at(-1)!.strokes });
    expect(Object.keys(told)).toEqual(['1', '2', '3', '4']);
  });

  it('has the azimuths of all occurrences on the ring, each once', () => {
    const told = forecast(ask(ring, { stint: 1 })).ring;
    const { strokes, nudges } = gearProgram(ring)[0]!;
    expect(told.counts.near).toBe(strokes);
    expect(told.counts.nudged).toBe(nudges);
    expect(told.counts.far).toBe(strokes - nudges);
  });

  it('keeps no more places than can be told apart, and still says how many there are', () => {
    const long = { ...ring, stints: [{ ...ring.stints[0]!, turns: 301 }] };
    const told = forecast(ask(long)).ring;
    expect(told.counts.near).toBeGreaterThan(5_000);
    expect(told.near.length).toBeLessThanOrEqual(720);
  });
});

describe('offers', () => {
  // Every 4th stroke nudged, every 3rd clocked: six turns have too few periods, seven have enough.
  const uneven = program([
    {
      turns: 6,
      strokesPerMinute: 45,
      nudge: { everyStrokes: 4, byMm: 8 },
      clocking: { kind: 'steps', everyStrokes: 3, askedDeg: 40, share: 0.3 },
      line: 1,
    },
  ]);

  it('are made where a stint comes out unevenly, and taking one makes it even', () => {
    const { offers, geared } = forecast(ask(uneven));
    expect(geared[1]!.warnings.join(' ')).toContain('7 turns');
    expect(offers[0]).toMatchObject({ turns: 7 });
    const offer = offers.find(({ even }) => even);
    const taken = { ...uneven, stints: [{ ...uneven.stints[0]!, turns: offer!.turns }] };
    const after = forecast(ask(taken));
    expect(after.geared[1]!.evenness).toBeCloseTo(offer!.evenness, 9);
    expect(after.offers).toEqual([]);
  });

  it('speak of one occurrence of a repeated stint', () => {
    const twice = { ...uneven, stints: [uneven.stints[0]!, uneven.stints[0]!] };
    const [group] = gearGroups(twice);
    expect(group!.members).toHaveLength(2);
    for (const { turns } of forecast(ask(twice)).offers) expect(turns).toBeLessThan(15);
  });
});

describe('what cannot be done', () => {
  it('comes back as limits of the stand', () => {
    const fast = { ...ring, stints: ring.stints.map((stint) => ({ ...stint, strokesPerMinute: 110, lengthMm: 150 })) };
    const told = forecast(ask(fast));
    expect(told.limits.length).toBeGreaterThan(0);
    expect(told.limits[0]).toMatchObject({ axis: 'stroke' });
    expect(told.durationSeconds).toBeNull();
  });

  it('comes back as reasons where the lap would tip, with the stint', () => {
    const edge = program([{}, { settingMm: 145, lengthMm: 40 }]);
    const numbered = { ...edge, stints: edge.stints.map((stint, index) => ({ ...stint, line: index + 1 })) };
    const told = forecast(ask(numbered));
    expect(told.profile).toBeNull();
    expect(told.refused).toMatchObject([{ field: 'at', line: 2 }]);
  });
});

describe('of many asks', () => {
  it('one is under way at a time, and after it the newest only', () => {
    const sent: number[] = [];
    const latest = new Latest<number>((each) => sent.push(each));
    for (const each of [1, 2, 3, 4]) latest.ask(each);
    expect(sent).toEqual([1]);
    latest.answered();
    expect(sent).toEqual([1, 4]);
    latest.answered();
    expect(sent).toEqual([1, 4]);
    latest.ask(5);
    expect(sent).toEqual([1, 4, 5]);
  });
});
