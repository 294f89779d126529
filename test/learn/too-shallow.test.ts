/** From where on a run teaches, and what is said of one that does not; the whole way from a walked run to what is held. */
import { describe, expect, it } from 'vitest';
import { reduce } from '../../planner/figure/reduce';
import type { Figure } from '../../planner/figure/types';
import { BEFORE_LEARNING } from '../../planner/learn/combine';
import { learnFromRun, learnReport, type Taught, type WalkedRun } from '../../planner/learn/learn-run';
import { LEAST_DEVIATIONS, tooShallow } from '../../planner/learn/too-shallow';
import { planProgram } from '../../planner/path/plan';
import { readProgram } from '../../planner/program/read-program';
import { radiiMm } from '../../planner/removal/profile';
import { prepareRemoval, profileNm } from '../../planner/removal/removal';
import { profileOf } from '../figure/synthetic';
import { demoShelf, exampleText } from '../program/reading';
import { demoStand } from '../support/programs';

const RUN = { forecastPeakNm: 5, turns: 61, assumedKPerPa: 8e-13, heldKPerPa: 8e-13 };
const evidence = (ratio: number, sigma: number) => ({ ratio, kPerPa: 8e-13 * ratio, kSigmaPerPa: 8e-13 * sigma });

describe('a run is too shallow', () => {
  it('below three standard deviations of what it took off, and not above', () => {
    expect(tooShallow(evidence(LEAST_DEVIATIONS * 0.2 + 1e-9, 0.2), RUN)).toBeNull();
    expect(tooShallow(evidence(LEAST_DEVIATIONS * 0.2 - 1e-9, 0.2), RUN)).toMatch(/^Too shallow to learn from: 3 nm/);
  });

  it('and says how much came off, how well it was read and what to do', () => {
    // 5 nm forecast, read to 3 nm: 9 nm are needed, and at least as many turns again.
    expect(tooShallow(evidence(-0.09, 0.6), RUN)).toBe(
      'Too shallow to learn from: nothing came off at the deepest place, read to ±3 nm; 3 times that is needed. ' +
        'Work about 61 turns more between two measurements, or read more takes before and after.',
    );
    // Ten times the noise wants ten times the turns; a lap known to cut half as fast, twice that.
    expect(tooShallow(evidence(0.1, 2), RUN)).toMatch(/read to ±10 nm.*about 305 turns more/);
    expect(tooShallow(evidence(0.1, 2), { ...RUN, heldKPerPa: 4e-13 })).toMatch(/about 671 turns more/);
  });

  it('but a glass that grew beyond its noise is a mistake', () => {
    expect(tooShallow(evidence(-1.3, 0.6), RUN)).toMatch(/^Not learned from: the glass seems to have grown by 6.5 nm/);
  });
});

describe('a walked run', () => {
  const program = readProgram(exampleText('raised-ring.yaml'), 'raised-ring.yaml', demoShelf()).program!;
  const { path } = planProgram(program, demoStand);
  const { lap, glass } = program;
  const removal = prepareRemoval({ path, lap, glass, kPerPa: BEFORE_LEARNING.kPerPa, ringStepMm: 1 });
  const radii = Array.from(radiiMm(removal.rings)).filter((r) => r <= glass.clearApertureMm / 2);
  const forecastNm = profileNm(removal);
  const peakNm = Math.max(...forecastNm);
  const figureAfter = (times: number, sigmaNm: number): Figure =>
    reduce(
      profileOf(
        glass,
        radii.map((radiusMm, i) => ({ radiusMm, heightNm: -times * forecastNm[i]!, sigmaNm })),
      ),
    );
  const walked: WalkedRun = { id: 'now', program, stand: demoStand, turns: null, minutes: null, virtual: false };
  const learn = (times: number, sigmaNm: number, earlier: Taught[] = []) =>
    learnFromRun(walked, figureAfter(0, sigmaNm), figureAfter(times, sigmaNm), earlier);

  it('that is deep enough teaches', () => {
    const { taught, refused, learned } = learn(1.2, 1);
    expect(refused).toBeNull();
    expect(taught!.evidence.ratio).toBeCloseTo(1.2, 2);
    expect(learned.runs).toBe(1);
    expect(learned.kPerPa).toBeGreaterThan(1.1 * BEFORE_LEARNING.kPerPa);
  });

  it.each([
    ['noise that is larger than what came off', 0.4, peakNm, /^Too shallow to learn from/],
    ['a glass that grew', -1, 1, /^Not learned from: the glass seems to have grown/],
  ])('with %s leaves the coefficient alone', (_, times, sigmaNm, words) => {
    const result = learn(times, sigmaNm);
    expect(result.taught).toBeNull();
    expect(result.refused).toMatch(words);
    expect(learnReport(result, false)).toMatchObject({
      kPerPa: BEFORE_LEARNING.kPerPa,
      kSigma: BEFORE_LEARNING.sigma,
      runs: 0,
      ratio: null,
      causes: [],
      radiusMm: [],
      refused: result.refused,
    });
    // What an earlier run taught stays too.
    const before = { ...learn(1.2, 1).taught!, evidence: { ...learn(1.2, 1).taught!.evidence, id: 'earlier' } };
    const after = learn(times, sigmaNm, [before]).learned;
    expect(after.runs).toBe(1);
    expect(after.kPerPa).toBeGreaterThan(1.1 * BEFORE_LEARNING.kPerPa);
  });
});
