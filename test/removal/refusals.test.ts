/** Work that cannot be forecast is refused in words, whole: nothing half computed, nothing thrown that is not a refusal. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { RemovalRefused } from '../../planner/removal/refusal';
import { prepareRemoval, profileNm } from '../../planner/removal/removal';
import type { RemovalTask } from '../../planner/removal/removal-task';
import type { Glass, Lap } from '../../planner/shelf/types';
import { FLAT_GLASS, formulaPath, roundLap, starLap } from './support';

const PATH = formulaPath({ turns: 1, strokes: 17, settingMm: 90, lengthMm: 60 });
const TASK: RemovalTask = { path: PATH, lap: roundLap(30), glass: FLAT_GLASS, kPerPa: 1e-12 };

function refusal(more: Partial<RemovalTask>): string {
  try {
    prepareRemoval({ ...TASK, ...more });
  } catch (error) {
    if (error instanceof RemovalRefused) return error.message;
    throw error;
  }
  return '';
}

const facets = (more: Partial<NonNullable<Lap['facets']>>): Lap =>
  roundLap(30, { facets: { pitchMm: 12, channelMm: 2, offsetXMm: 0, offsetYMm: 0, ...more } });
const glass = (more: Partial<Glass>): Glass => ({ ...FLAT_GLASS, ...more });
const load = (addedN: number): Lap => roundLap(30, { load: { addedN, lapWeightN: 0, armWeightN: 0 } });

describe('refused before anything is computed', () => {
  it.each<[string, Partial<RemovalTask>, RegExp]>([
    ['a lap larger than the glass', { lap: roundLap(201) }, /402 mm.*larger than the glass.*400 mm/],
    ['a star without contact', { lap: starLap(30, 6, 30) }, /without contact/],
    ['a star without points', { lap: starLap(30, 0, 5) }, /at least 2/],
    ['facets wider than the lap', { lap: facets({ pitchMm: 61 }) }, /do not fit a lap of 60 mm/],
    ['channels as wide as the pitch', { lap: facets({ channelMm: 12 }) }, /narrower than the pitch/],
    ['no load', { lap: load(0) }, /Nothing presses/],
    ['a negative load', { lap: load(-3) }, /lifts/],
    ['a load that is no number', { lap: load(Number.NaN) }, /lap\.load\.added: This is not a number/],
    [
      'an endless setting of the pivot',
      { lap: roundLap(30, { pivotHeightMm: Number.POSITIVE_INFINITY }) },
      /not a number/,
    ],
    ['negative friction', { lap: roundLap(30, { friction: -0.1 }) }, /cannot be negative/],
    ['no glass', { glass: glass({ diameterMm: 0 }) }, /diameter above 0/],
    ['more hole than glass', { glass: glass({ holeMm: 399, bevelMm: 1 }) }, /leave no glass/],
    ['no removal coefficient', { kPerPa: 0 }, /must be above 0/],
    ['a removal coefficient that is no number', { kPerPa: Number.NaN }, /not a number/],
  ])('%s', (_, more, words) => {
    expect(refusal(more)).toMatch(words);
  });

  it('says everything that is wrong at once', () => {
    const lines = refusal({ lap: roundLap(500, { friction: -1, load: { addedN: 0, lapWeightN: 0, armWeightN: 0 } }) });
    expect(lines.split('\n').length).toBe(3);
  });
});

describe('refused because the lap does not stand', () => {
  it('tips over the rim: says where it begins', () => {
    const path = formulaPath({ turns: 1, strokes: 17, settingMm: 199, lengthMm: 60 });
    // The stroke's ends lie at 201.2 mm; the centre may not pass the rim at 200 mm.
    const words = refusal({ path });
    expect(words).toMatch(/tips where its centre passes (\d+\.\d) mm/);
    const begins = Number(/passes (\d+\.\d)/.exec(words)![1]);
    expect(begins).toBeGreaterThan(198);
    expect(begins).toBeLessThanOrEqual(200);
  });

  it('tips over a hole, from inside', () => {
    const path = formulaPath({ turns: 1, strokes: 17, settingMm: 20, lengthMm: 4 });
    const words = refusal({ path, glass: glass({ holeMm: 80 }) });
    const begins = Number(/passes (\d+\.\d)/.exec(words)![1]);
    expect(begins).toBeGreaterThan(Math.sqrt(40 ** 2 - 30 ** 2));
    expect(begins).toBeLessThan(Math.sqrt(40 ** 2 - 30 ** 2) + 4);
  });

  it('never meets the glass', () => {
    const path = formulaPath({ turns: 1, strokes: 17, settingMm: 250, lengthMm: 60 });
    expect(refusal({ path })).toMatch(/does not touch the glass at all/);
  });

  it('is carried over by friction at a high pivot', () => {
    expect(refusal({ lap: roundLap(30, { pivotHeightMm: 120 }) })).toMatch(/lower the pivot/);
  });

  it('names the line of the program', () => {
    try {
      prepareRemoval({ ...TASK, path: formulaPath({ turns: 1, strokes: 17, settingMm: 250, lengthMm: 60 }) });
      expect.unreachable();
    } catch (error) {
      expect((error as RemovalRefused).reasons[0]!.line).toBe(1);
    }
  });
});

it('any numbers at all give a whole forecast or a refusal', () => {
  const number = fc.oneof(fc.double({ min: -50, max: 450, noNaN: true }), fc.constant(Number.NaN), fc.constant(0));
  fc.assert(
    fc.property(
      number,
      number,
      number,
      number,
      fc.integer({ min: -2, max: 12 }),
      (radius, setting, length, depth, points) => {
        let depths: Float64Array;
        try {
          const path = formulaPath({ turns: 1, strokes: 4, settingMm: setting, lengthMm: length });
          const lap = points > 1 ? starLap(radius, points, depth) : roundLap(radius);
          depths = profileNm(prepareRemoval({ ...TASK, path, lap }));
        } catch (error) {
          expect(error).toBeInstanceOf(RemovalRefused);
          return;
        }
        for (const value of depths) expect(value >= 0 && Number.isFinite(value)).toBe(true);
        expect(Math.max(...depths)).toBeGreaterThan(0);
      },
    ),
    { seed: 5, numRuns: 150 },
  );
});
