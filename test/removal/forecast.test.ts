/** The forecast of programs as people write them, through reading, gearing and the planner's own path. */
import { describe, expect, it } from 'vitest';
import { planProgram } from '../../planner/path/plan';
import type { Program } from '../../planner/program/types';
import { predict, removalOf } from '../../planner/removal/predict';
import { profileNm } from '../../planner/removal/removal';
import { forecastReport } from '../../planner/removal/report';
import type { Prediction } from '../../planner/removal/types';
import { readStand } from '../../planner/stand/read-stand';
import { exampleText, programText, read } from '../program/reading';

const STAND = readStand(exampleText('stand.yaml'), 'stand.yaml').stand!;
const K = 8e-13;

function job(
  list: string,
  header: Record<string, string> = {},
): { program: Program; plan: ReturnType<typeof planProgram> } {
  const { program, complaints } = read(programText(list, { lap: 'star-80', ...header }));
  if (!program) throw new Error(JSON.stringify(complaints));
  return { program, plan: planProgram(program, STAND) };
}

function forecast(
  list: string,
  more: Partial<Parameters<typeof predict>[2]> = {},
  header: Record<string, string> = {},
): Prediction {
  const { program, plan } = job(list, header);
  return predict(program, plan, { kPerPa: K, ...more });
}

const PLAIN = '  - { turns: 5, stroke: straight, at: 90 mm, length: 80 mm, clock: { every: 2, by: 40 deg } }';
const ELLIPSE =
  '  - { turns: 5, stroke: ellipse, at: 90 mm, length: 80 mm, width: 16 mm, clock: { every: 2, by: 40 deg } }';
const sum = (values: readonly number[]): number => values.reduce((total, value) => total + value, 0);

describe('the fields', () => {
  const found = forecast(`${PLAIN}\n${ELLIPSE}`);

  it('are numbers, ring by ring to the bevel, and shares that add up', () => {
    expect(found.radiusMm[0]).toBe(0);
    expect(found.radiusMm[found.radiusMm.length - 1]).toBe(149);
    expect(found.removalNm).toHaveLength(found.radiusMm.length);
    expect(found.harmonics.map(({ order }) => order)).toEqual([1, 2, 3, 4, 5, 6, 7, 8]);
    for (const { amplitudeNm } of found.harmonics) expect(amplitudeNm).toHaveLength(found.radiusMm.length);
    expect(found.peakNm).toBe(Math.max(...found.removalNm));
    expect(found.bandShare.inside + found.bandShare.inward + found.bandShare.outward).toBeCloseTo(1, 9);
    expect(JSON.parse(JSON.stringify(found))).toEqual(found);
  });

  it('speak of each stint', () => {
    expect(found.stints).toHaveLength(2);
    const [straight, ellipse] = found.stints;
    expect([straight!.innerRim.radiusMm, straight!.middle.radiusMm, straight!.outerRim.radiusMm]).toEqual([
      50, 90, 130,
    ]);
    expect(straight!.reversals % 2).toBe(0);
    expect(ellipse!.contactSpanMm).toBeGreaterThan(straight!.contactSpanMm + 5);
    for (const { width90Mm, contactSpanMm, centroidMm, innerRim, middle, outerRim } of found.stints) {
      expect(width90Mm).toBeLessThan(contactSpanMm);
      expect(centroidMm).toBeGreaterThan(85);
      expect(centroidMm).toBeLessThan(100);
      expect(middle.depthNm).toBeGreaterThan(5 * Math.max(innerRim.depthNm, outerRim.depthNm));
      expect(innerRim.width1090Mm).toBeGreaterThan(10);
    }
  });

  it('the chord carries the outer rim out and leaves the inner rim at nothing', () => {
    const [straight] = found.stints;
    expect(straight!.outerRim.depthNm).toBeGreaterThan(4 * straight!.innerRim.depthNm);
  });

  it('an inward nudge digs at the inner rim', () => {
    const plain = forecast(PLAIN).stints[0]!;
    const nudged = forecast(PLAIN.replace('clock:', 'nudge: { every: 3, by: 10 mm }, clock:')).stints[0]!;
    expect(nudged.innerRim.depthNm).toBeGreaterThan(2 * plain.innerRim.depthNm);
    expect(nudged.outerRim.depthNm / plain.outerRim.depthNm).toBeLessThan(1.1);
  });
});

describe('where the person stands', () => {
  it.each([
    ['start of the stroke', 'right', 'left'],
    ['end of the stroke', 'left', 'right'],
    ['working side', 'far', 'near'],
  ] as const)('at the %s the inner rim is %s', (standing, inner, outer) => {
    const [stint] = forecast(PLAIN, { standing }).stints;
    expect(stint!.innerRim.seen).toBe(inner);
    expect(stint!.outerRim.seen).toBe(outer);
  });
});

describe('the sense of an ellipse', () => {
  it('shifts the centroid one way and, reversed, the other', () => {
    const [one] = forecast(ELLIPSE).stints;
    const [other] = forecast(ELLIPSE.replace('width: 16 mm', 'width: 16 mm, sense: clockwise')).stints;
    expect(Math.abs(one!.senseShiftMm)).toBeGreaterThan(0.3);
    expect(one!.senseShiftMm).toBeCloseTo(-other!.senseShiftMm, 3);
    // The mirror image clocks the lap at the other end of the stroke: that is worth 2 um.
    expect(one!.centroidMm - other!.centroidMm).toBeCloseTo(2 * one!.senseShiftMm, 2);
    expect(forecast(PLAIN).stints[0]!.senseShiftMm).toBe(0);
  });
});

describe('what if I stop here', () => {
  it('after some turns of a stint, and after none of the next', () => {
    const list = `${PLAIN}\n${ELLIPSE}`;
    const whole = forecast(list);
    const half = forecast(list, { untilTurns: 5 });
    expect(half.turns).toBe(5);
    expect(half.stints).toHaveLength(1);
    expect(half.peakNm).toBeLessThan(whole.peakNm);
    expect(half.stints[0]!.peakNm).toBeCloseTo(whole.stints[0]!.peakNm, 9);
  });

  it('before the first stroke there is nothing, in numbers and on the page', () => {
    const { program, plan } = job(PLAIN);
    const { prediction, html } = forecastReport(program, plan, { kPerPa: K, untilTurns: 0 });
    expect(prediction.peakNm).toBe(0);
    expect(prediction.stints).toEqual([]);
    expect(prediction.warnings).toEqual([]);
    expect(html).not.toMatch(/NaN|undefined|Infinity/);
    expect(JSON.stringify(prediction)).not.toContain('null');
  });

  it('goes on without a gap: stretches add up to the whole', () => {
    const { program, plan } = job(`${PLAIN}\n${ELLIPSE}`);
    const at = (untilTurns: number): number[] => [...profileNm(removalOf(program, plan, { kPerPa: K, untilTurns }))];
    const [before, here, after] = [4.3, 4.31, 4.32].map(at);
    const grown = (a: number[], b: number[]): number => sum(b) - sum(a);
    expect(grown(before!, here!)).toBeGreaterThan(0);
    expect(sum(at(10))).toBeCloseTo(sum([...profileNm(removalOf(program, plan, { kPerPa: K }))]), 9);
    // A hundredth of a turn is a fifth of a stroke: as much on either side, but for where in the stroke.
    expect(grown(here!, after!) / grown(before!, here!)).toBeGreaterThan(0.1);
    expect(grown(here!, after!) / grown(before!, here!)).toBeLessThan(10);
  });

  it('inside a turn astigmatism is left, after whole turns it is not', () => {
    const most = (untilTurns: number): number =>
      Math.max(...forecast(PLAIN, { untilTurns }).harmonics.find(({ order }) => order === 2)!.amplitudeNm);
    expect(most(2.25)).toBeGreaterThan(20 * most(5));
  });
});

describe('the wanted zone', () => {
  it('shares the volume inside, inward and outward of it', () => {
    const all = forecast(PLAIN, { zone: { fromMm: 0, toMm: 149 } });
    expect(all.bandShare.inside).toBeCloseTo(1, 9);
    const narrow = forecast(PLAIN, { zone: { fromMm: 85, toMm: 95 } });
    expect(narrow.bandShare.inside).toBeGreaterThan(0.1);
    expect(narrow.bandShare.inside).toBeLessThan(0.3);
    expect(narrow.bandShare.inward + narrow.bandShare.outward).toBeGreaterThan(0.7);
  });
});

describe('pressure off the rim', () => {
  const edge = '  - { turns: 4, stroke: straight, at: 125 mm, length: 60 mm, clock: { every: 2, by: 40 deg } }';

  it('balanced, it wears the rim more than uniform pressure would, and uniform says it is not physical', () => {
    const balanced = forecast(edge, {}, { lap: 'round-60' });
    const uniform = forecast(edge, { pressureLaw: 'uniform (not physical)' }, { lap: 'round-60' });
    const last = balanced.removalNm.length - 1;
    expect(balanced.removalNm[last]! / uniform.removalNm[last]!).toBeGreaterThan(1.1);
    expect(uniform.notPhysical).toBe(true);
    expect(uniform.warnings.join(' ')).toMatch(/not physical/);
    expect(balanced.notPhysical).toBe(false);
  });
});

describe('what stays behind', () => {
  it('each has a number, a sentence and a limit, and warns above it', () => {
    const found = forecast(PLAIN);
    expect(found.remainders.map(({ name }) => name)).toEqual([
      'reversal crowding',
      'lap pattern',
      'ripple',
      'clocking misfit',
      'azimuth orders 1 to 4',
    ]);
    for (const { words, value, limit, warns } of found.remainders) {
      expect(words.length).toBeGreaterThan(20);
      expect(warns).toBe(value > limit);
    }
  });

  it('a lap that is never clocked leaves more pattern than one that is, and has no clocking misfit', () => {
    const list = '  - { turns: 12, stroke: straight, at: 90 mm, length: 80 mm, clock: none }';
    const fixed = forecast(list, {}, { lap: 'round-60' });
    const clocked = forecast(list.replace('none', '{ every: 2, by: 40 deg }'), {}, { lap: 'round-60' });
    expect(fixed.lapPatternNm).toBeGreaterThan(3 * clocked.lapPatternNm);
    expect(fixed.stints[0]!.clockingMisfitNm).toBe(0);
    expect(clocked.stints[0]!.clockingMisfitNm).toBeGreaterThan(50);
  });

  it('an unclocked face for hours is warned of', () => {
    const list = '  - { turns: 120, stroke: straight, at: 90 mm, length: 80 mm, clock: none }';
    expect(forecast(list, {}, { lap: 'round-60' }).warnings.join(' ')).toMatch(/Clock the lap/);
  });

  it('settings far apart leave a ripple', () => {
    const settings = [60, 85, 110]
      .map((at) => `  - { turns: 6, stroke: straight, at: ${at} mm, length: 20 mm }`)
      .join('\n');
    const near = [80, 85, 90].map((at) => `  - { turns: 6, stroke: straight, at: ${at} mm, length: 20 mm }`).join('\n');
    const laps = { lap: 'round-60' };
    expect(forecast(settings, {}, laps).rippleNm).toBeGreaterThan(5 * forecast(near, {}, laps).rippleNm);
  });
});

describe('the page', () => {
  it('holds sentences, labelled plots and the stints, and nothing from outside', () => {
    const { program, plan } = job(`${PLAIN}\n${ELLIPSE}`, { title: 'Rings & <zones>' });
    const { html, prediction } = forecastReport(program, plan, { kPerPa: K });
    expect(prediction).toEqual(predict(program, plan, { kPerPa: K }));
    expect(html).toContain('Rings &amp; &lt;zones&gt;');
    expect(html).not.toContain('<zones>');
    expect(html.match(/<svg /g)).toHaveLength(4);
    for (const words of ['radius, mm', 'depth, nm', 'inner rim', 'Pattern of the lap', 'Where the stroke turns round'])
      expect(html).toContain(words);
    expect(html).not.toMatch(/NaN|undefined|Infinity/);
    expect(html.replace(/http:\/\/www\.w3\.org\/2000\/svg/g, '')).not.toMatch(/https?:/);
  });
});
