import { describe, expect, it } from 'vitest';
import { planProgram } from '../../planner/path/plan';
import { readProgram } from '../../planner/program/read-program';
import { radiiMm } from '../../planner/removal/profile';
import { prepareRemoval, profileNm } from '../../planner/removal/removal';
import type { Stand } from '../../planner/stand/types';
import { CandidateCache, candidatesOf } from '../../planner/suggest/candidates';
import { depthShareOf, suggest } from '../../planner/suggest/suggest';
import { targetOf } from '../../planner/suggest/target';
import { rings } from '../figure/synthetic';
import { demoStand } from '../support/programs';
import { figureOf, GLASS, requestFor, roundLap, shelfOf, solverLoaded } from './laps';

const RING = rings([{ radiusMm: 90, widthMm: 70, heightNm: 90 }]);
const LAPS = [roundLap(30), roundLap(50), roundLap(80)];
const cache = new CandidateCache();

const STAND: Stand = {
  ...demoStand,
  axes: { ...demoStand.axes, turntable: { ...demoStand.axes.turntable, maxAcceleration: 1 } },
};

describe('a suggestion', () => {
  it('is a program that reads without complaint, can be walked, and does what was said', async () => {
    const solver = await solverLoaded;
    const figure = figureOf(RING);
    const request = requestFor(figure, LAPS, { stand: STAND, alternatives: true });
    const suggestion = suggest(request, solver, cache);
    expect(suggestion.kind).toBe('figuring');
    const plans = [suggestion.plan!, ...suggestion.alternatives];
    expect(plans.map((plan) => plan.name)).toEqual(['suggested', 'gentlest', 'quickest']);
    for (const plan of plans) {
      const { program, complaints } = readProgram(plan.programText, 'suggestion.yaml', shelfOf(...LAPS));
      expect(complaints).toEqual([]);
      const { path, complaints: limits, geared } = planProgram(program!, STAND);
      expect(limits).toEqual([]);
      expect(path.turns).toBe(plan.stints.reduce((sum, stint) => sum + stint.turns, 0));
      for (const stint of geared) expect(stint.evenness).toBeGreaterThan(0.7);
      // The forecast of the real program, with its blends and clockings, against what the candidates promised.
      const removal = prepareRemoval({ path, lap: program!.lap, glass: GLASS, kPerPa: 8e-13, ringStepMm: 1 });
      const depth = profileNm(removal);
      const radii = radiiMm(removal.rings);
      const peak = Math.max(...depth);
      figure.radiusMm.forEach((r, i) => {
        const low = Math.min(radii.length - 2, Math.floor(r));
        const at = depth[low]! + (r - low) * (depth[low + 1]! - depth[low]!);
        expect(Math.abs(at - plan.predicted.removalNm[i]!)).toBeLessThan(0.03 * peak + 0.5);
      });
    }
  });

  it('cuts nowhere below the target by more than the margin, works whole turns and makes the glass better', async () => {
    const solver = await solverLoaded;
    for (const error of [
      RING,
      rings([
        { radiusMm: 40, widthMm: 60, heightNm: -70 },
        { radiusMm: 110, widthMm: 60, heightNm: 60 },
      ]),
    ]) {
      const request = requestFor(figureOf(error), LAPS);
      const { plan, before } = suggest(request, solver, cache);
      const target = targetOf(request.figure, request);
      plan!.predicted.removalNm.forEach((depth, i) => {
        // The walls stand at a few dozen radii; between them a lap's width away nothing can hide.
        if (i >= target.first && i <= target.last)
          expect(depth).toBeLessThan(target.removalNm[i]! + request.marginNm + 1);
      });
      for (const { turns } of plan!.stints) {
        expect(Number.isInteger(turns)).toBe(true);
        expect(turns).toBeGreaterThanOrEqual(1);
      }
      expect(plan!.stints.length).toBeLessThanOrEqual(16);
      expect(plan!.predicted.pvNm).toBeLessThan(before.pvNm);
      expect(plan!.relaxed!.certificate.holds).toBe(true);
    }
  });

  it('works only 1 / (1 + 2 sigma) of the depth', async () => {
    const solver = await solverLoaded;
    expect(depthShareOf(0.25)).toBeCloseTo(1 / 1.5, 12);
    const peak = (sigma: number): number => {
      const knowledgeOf = () => ({ kPerPa: 8e-13, sigma, runs: 1 });
      const { plan } = suggest(requestFor(figureOf(RING), [roundLap(30)], { knowledgeOf }), solver, cache);
      return Math.max(...plan!.predicted.removalNm);
    };
    expect(peak(0.25) / peak(0.02)).toBeCloseTo(1.04 / 1.5, 1);
  });

  it('says what limits it: the coefficient, the lap, the measurement or a low zone', async () => {
    const solver = await solverLoaded;
    const limitOf = (change: Parameters<typeof requestFor>[2], laps = LAPS, error = RING, noiseMm = 0.002): string =>
      suggest(requestFor(figureOf(error, noiseMm), laps, change), solver, cache).limitedBy;
    expect(limitOf({ knowledgeOf: () => ({ kPerPa: 8e-13, sigma: 0.3, runs: 1 }) })).toMatch(
      /^the coefficient, known to 30 %/,
    );
    const narrow = rings([{ radiusMm: 90, widthMm: 40, heightNm: 60 }]);
    const known = { knowledgeOf: () => ({ kPerPa: 8e-13, sigma: 0.02, runs: 9 }) };
    expect(limitOf(known, [roundLap(80)], narrow)).toMatch(/^the lap: Round lap, 80 mm cannot follow/);
    expect(limitOf({ ...known, enoughNm: 5 }, [roundLap(30)], RING, 0.05)).toMatch(/^the measurement/);
    const hole = rings([{ radiusMm: 90, widthMm: 70, heightNm: -90 }]);
    expect(limitOf({ ...known, allowedLowNm: 80 }, [roundLap(30)], hole)).toMatch(/^a low zone at (8|9)\d mm/);
  });

  it('takes the lap that follows the zone', async () => {
    const solver = await solverLoaded;
    const narrow = rings([{ radiusMm: 90, widthMm: 45, heightNm: 70 }]);
    const { plan } = suggest(requestFor(figureOf(narrow), [roundLap(80), roundLap(30)]), solver, cache);
    expect(plan!.lap.id).toBe('round-30');
  });

  it('is nothing to do where the glass is good enough', async () => {
    const solver = await solverLoaded;
    const suggestion = suggest(requestFor(figureOf(rings([])), LAPS), solver, cache);
    expect(suggestion.kind).toBe('nothing to do');
    expect(suggestion.plan).toBeNull();
  });

  it('is a shallow test run with a lap nobody has measured', async () => {
    const solver = await solverLoaded;
    const knowledgeOf = () => ({ kPerPa: 8e-13, sigma: 0.8, runs: 0 });
    const { kind, plan } = suggest(requestFor(figureOf(RING), LAPS, { knowledgeOf }), solver, cache);
    expect(kind).toBe('test run');
    const peak = Math.max(...plan!.predicted.removalNm);
    expect(peak).toBeGreaterThan(8);
    expect(peak).toBeLessThan(12);
    // On high glass, so that it does no harm.
    const at = figureOf(RING).radiusMm[plan!.predicted.removalNm.indexOf(peak)]!;
    expect(Math.abs(at - 90)).toBeLessThan(35);
    expect(readProgram(plan!.programText, 'test-run.yaml', shelfOf(...LAPS)).complaints).toEqual([]);
  });

  it('sizes the test run to what the readings can see, and to the glass that stands high', async () => {
    const solver = await solverLoaded;
    const knowledgeOf = () => ({ kPerPa: 8e-13, sigma: 0.8, runs: 0 });
    const asked = (heightNm: number, noiseMm: number) => {
      const figure = figureOf(rings([{ radiusMm: 90, widthMm: 70, heightNm }]), noiseMm);
      const { plan } = suggest(requestFor(figure, LAPS, { knowledgeOf }), solver, cache);
      const bandNm = [...figure.bandNm].sort((a, b) => a - b)[figure.bandNm.length >> 1]!;
      return { bandNm, peakNm: Math.max(...plan!.predicted.removalNm), words: plan!.words };
    };
    const rough = asked(150, 0.03);
    expect(3 * rough.bandNm).toBeGreaterThan(15);
    expect(rough.peakNm / (3 * rough.bandNm)).toBeGreaterThan(0.95);
    expect(rough.words).toMatch(/That deep because these readings are known to \d+ nm to either side/);
    const low = asked(60, 0.06);
    expect(low.peakNm).toBeLessThan(3 * low.bandNm);
    expect(low.words).toMatch(/It should take \d+ nm, .*read more takes, or it may teach nothing/);
  });

  it('says so when no lap fits, or there is none', async () => {
    const solver = await solverLoaded;
    const wide = suggest(requestFor(figureOf(RING), [roundLap(320)]), solver, cache);
    expect(wide.kind).toBe('no lap fits');
    expect(wide.words[0]).toMatch(/^No lap on the shelf fits/);
    expect(suggest(requestFor(figureOf(RING), []), solver, cache).words[0]).toMatch(/no lap on the shelf/);
  });

  it('is the same every time it is asked', async () => {
    const solver = await solverLoaded;
    const request = requestFor(figureOf(RING), [roundLap(50)]);
    const first = suggest(request, solver, new CandidateCache());
    const second = suggest(request, solver, new CandidateCache());
    expect(second.plan!.programText).toBe(first.plan!.programText);
  });
});

describe('candidates', () => {
  const settings = { glass: GLASS, lap: roundLap(50), kPerPa: 8e-13, turntableRpm: 2.5, strokesPerMinute: 44 };
  const radiusMm = Float64Array.from({ length: 150 }, (_, i) => i);

  it('hang over the rim by a quarter of the lap at most, and the outermost by that much', () => {
    const overhang = candidatesOf({ ...settings, stand: null, radiusMm }).map(({ settingMm, lengthMm }) => {
      return (Math.hypot(settingMm, lengthMm / 2) + 25 - 149) / 50;
    });
    expect(Math.max(...overhang)).toBeLessThanOrEqual(0.25 + 1e-9);
    expect(Math.max(...overhang)).toBeGreaterThan(0.23);
  });

  it('keep to the travel and the pace of the stand', () => {
    const axes = {
      ...STAND.axes,
      radial: { ...STAND.axes.radial, max: 60 },
      stroke: { ...STAND.axes.stroke, max: 20 },
    };
    for (const one of candidatesOf({ ...settings, stand: { ...STAND, axes }, radiusMm })) {
      expect(one.settingMm + one.widthMm / 2).toBeLessThanOrEqual(60);
      expect(one.lengthMm / 2).toBeLessThanOrEqual(20);
    }
    const slow = { ...STAND.axes, stroke: { ...STAND.axes.stroke, maxAcceleration: 600 } };
    const longest = Math.max(
      ...candidatesOf({ ...settings, stand: { ...STAND, axes: slow }, radiusMm }).map((one) => one.lengthMm),
    );
    expect((longest / 2) * ((2 * Math.PI * 44) / 60) ** 2).toBeLessThanOrEqual(600);
  });

  it('scale with the coefficient when they come from the cache', () => {
    const kept = new CandidateCache();
    const first = kept.get({ ...settings, stand: null, radiusMm });
    const second = kept.get({ ...settings, kPerPa: 4e-13, stand: null, radiusMm });
    expect(second.length).toBe(first.length);
    const at = (list: typeof first): number => list[7]!.profileNmPerTurn.reduce((sum, depth) => sum + depth, 0);
    expect(at(second) / at(first)).toBeCloseTo(0.5, 12);
  });
});
