import { describe, expect, it } from 'vitest';
import { askedConic } from '../../planner/figure/conic';
import { restOf, restOfMeasurement } from '../../planner/figure/rest';
import { meanOfTakes, USUAL_REPEATABILITY_MM } from '../../planner/figure/takes';
import { seeded } from '../support/random';
import { equalWindows, readingsOf, rings, testGlass } from './synthetic';

const glass = testGlass();
const windows = equalWindows(10, 0, 100);

function takesOf(count: number, noiseMm: number, seed = 5) {
  const random = seeded(seed);
  const one = () => readingsOf(glass, askedConic(glass), rings([]), windows, { noiseMm, random }).takes[0]!;
  const base = readingsOf(glass, askedConic(glass), rings([]), windows, { statedMm: 1 });
  return { ...base, repeatabilityMm: null, takes: Array.from({ length: count }, one) };
}

describe('several takes', () => {
  it('tell how well a reading repeats, within the scatter of such an estimate', () => {
    const { repeatabilityMm, repeatabilityFrom } = meanOfTakes(takesOf(12, 0.02));
    expect(repeatabilityFrom).toBe('takes');
    expect(repeatabilityMm).toBeGreaterThan(0.017);
    expect(repeatabilityMm).toBeLessThan(0.023);
  });

  it('alone tell nothing: the usual is assumed and said', () => {
    const means = meanOfTakes(takesOf(1, 0.02));
    expect(means.repeatabilityFrom).toBe('assumed');
    expect(means.repeatabilityMm).toBe(USUAL_REPEATABILITY_MM);
  });

  it('are worth what the person states, where stated', () => {
    const means = meanOfTakes({ ...takesOf(3, 0.02), repeatabilityMm: 0.05 });
    expect(means.repeatabilityMm).toBe(0.05);
    // 0.05 mm at 70 % of the radius is twice that at 35 %, and the mean of three is better by sqrt 3.
    expect(means.sigmaMm[3]!).toBeCloseTo((0.05 * 70) / 35.3553 / Math.sqrt(3), 4);
  });

  it('shifted against one another as a whole do not look like noise', () => {
    const measurement = takesOf(6, 0.02);
    const shifted = measurement.takes.map((take, t) => ({
      ...take,
      readingMm: take.readingMm.map((value) => value + t),
    }));
    expect(meanOfTakes({ ...measurement, takes: shifted }).repeatabilityMm).toBeLessThan(0.025);
  });
});

describe('rest before measuring', () => {
  const cool = { hoursSinceWork: 12, glassC: 20, roomC: 20.1, thicknessMm: 30 };
  const take = (atMinutes: number, readingMm: number[]) => ({ atMinutes, readingMm, sigmaMm: [0.04, 0.02, 0.01] });

  it('waits while the glass is warmer than the room', () => {
    const verdict = restOf({ ...cool, glassC: 21 }, [take(0, [0, 1, 2]), take(30, [0, 1, 2])]);
    expect(verdict.state).toBe('wait');
    expect(verdict.words).toContain('0.9 degrees warmer');
    expect(verdict.waitMinutes).toBeGreaterThan(5);
  });

  it('waits longer for a thick glass, by the square of its thickness', () => {
    const wait = (thicknessMm: number): number => restOf({ ...cool, hoursSinceWork: 0, thicknessMm }, []).waitMinutes!;
    expect(wait(60) / wait(30)).toBeCloseTo(4, 1);
  });

  it('asks for a second pass, and takes it for settled when both agree', () => {
    expect(restOf(cool, [take(0, [0, 1, 2])]).state).toBe('read again');
    expect(restOf(cool, [take(0, [0, 1, 2]), take(3, [0, 1, 2])]).state).toBe('read again');
    expect(restOf(cool, [take(0, [0, 1, 2]), take(20, [0.03, 1.01, 2.005])]).state).toBe('settled');
  });

  it('a common shift is focus, not drift; zones moving against one another are drift', () => {
    expect(restOf(cool, [take(0, [0, 1, 2]), take(20, [0.5, 1.5, 2.5])]).state).toBe('settled');
    const drifting = restOf(cool, [take(0, [0, 1, 2]), take(20, [0, 1.06, 2.12])]);
    expect(drifting.state).toBe('wait');
    expect(drifting.words).toMatch(/zones moved against one another by up to 0\.\d\d mm/);
  });

  it('is judged from a measurement whose takes note their time', () => {
    const base = readingsOf(glass, askedConic(glass), rings([]), windows, { statedMm: 0.02 });
    const [only] = base.takes;
    const again = (atMinutes: number, driftMm: number) => ({
      ...only!,
      atMinutes,
      readingMm: only!.readingMm.map((value, i) => value + (driftMm * i) / 9),
    });
    const rest = { hoursSinceWork: 10, glassC: null, roomC: null };
    expect(restOfMeasurement({ ...base, rest, takes: [again(0, 0), again(25, 0)] }).state).toBe('settled');
    expect(restOfMeasurement({ ...base, rest, takes: [again(0, 0), again(25, 0.3)] }).state).toBe('wait');
    expect(restOfMeasurement({ ...base, rest }).state).toBe('read again');
  });

  it('in 2,000 honest pairs asks for more in less than one of ten', () => {
    const random = seeded(99);
    const noisy = (): number => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
    let refused = 0;
    for (let i = 0; i < 2000; i++) {
      const pass = (atMinutes: number) => take(atMinutes, [0.04 * noisy(), 1 + 0.02 * noisy(), 2 + 0.01 * noisy()]);
      if (restOf(cool, [pass(0), pass(20)]).state !== 'settled') refused++;
    }
    expect(refused / 2000).toBeLessThan(0.1);
    expect(refused).toBeGreaterThan(0);
  });
});
