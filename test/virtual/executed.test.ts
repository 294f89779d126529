/** The virtual glass is worn by what the stand did: nothing more, nothing less, nowhere else. */
import { describe, expect, it } from 'vitest';
import type { VirtualRun } from '../../firmware-host/run/virtual-run';
import { amplitudes } from '../../firmware-host/virtual/glass/round';
import { testerFor } from '../../firmware-host/virtual/glass/tester';
import { plainTruth } from '../../firmware-host/virtual/glass/truth';
import { GlassUnderLap } from '../../firmware-host/virtual/glass/under-lap';
import { VirtualGlass } from '../../firmware-host/virtual/glass/virtual-glass';
import { reduce } from '../../planner/figure/reduce';
import type { Program } from '../../planner/program/types';
import { prepareRemoval, profileNm } from '../../planner/removal/removal';
import { ask, GO_ON, planOf, quickStand, reach, readyRun, START } from '../run/support';
import { plainLap, program, starLap } from '../support/programs';
import { seeded } from '../support/random';

/** As the forecast takes it: one coefficient, no lean, no hungry rim, no wearing in. */
const PLAIN = plainTruth(8e-13);
const RPM = 5;

const MIXED = program(
  [
    { turns: 3, nudge: { everyStrokes: 3, byMm: 8 } },
    { turns: 2, shape: 'ellipse', widthMm: 14, clocking: { kind: 'steps', everyStrokes: 2, askedDeg: 40, share: 0.5 } },
  ],
  { turntableRpm: RPM },
);
const PLAINLY = program([{ turns: 3 }], { turntableRpm: RPM });

const level = (walked: Program): VirtualGlass => new VirtualGlass(walked.glass, PLAIN, () => 0);

/** A stand that was found and reset, with a level glass under the lap. */
async function laid(walked: Program, glass = level(walked), options: Parameters<typeof readyRun>[1] = {}) {
  const plan = planOf(walked, quickStand);
  const { run } = await readyRun(plan, options);
  run.lay(glass);
  return { run, plan, glass };
}

const depths = (glass: VirtualGlass): number[] => Array.from(glass.meanNm(), (height) => -height);
const volume = (depthNm: readonly number[]): number => depthNm.reduce((sum, depth, r) => sum + r * depth, 0);
const worst = (a: readonly number[], b: readonly number[]): number => Math.max(...a.map((x, i) => Math.abs(x - b[i]!)));
const turnsOf = (run: VirtualRun): number => run.conductor.snapshot().turnsWalked;
const stop = { kind: 'command', command: 'stop' } as const;
const IN_THE_AIR = { kind: 'command', command: 'start', from: 'beginning', air: true } as const;
const reset = { kind: 'command', command: 'reset' } as const;

/** What the planned path takes off between two places, on a glass of its own. */
function planned(walked: Program, ...stretches: [number, number][]): number[] {
  const glass = level(walked);
  const { path } = planOf(walked, quickStand);
  for (const [from, to] of stretches) glass.walk(path, walked.lap, from, to, RPM);
  return depths(glass);
}

describe('a program walked to its end', () => {
  it.each([
    ['round', plainLap],
    ['star', starLap(8)],
    ['free', { ...plainLap, rotation: 'free' as const }],
  ])('takes off what the forecast says: %s lap', async (_, lap) => {
    const walked = { ...MIXED, lap };
    const { run, plan, glass } = await laid(walked);
    await ask(run, START, 'Complete');
    const removal = prepareRemoval({ path: plan.path, lap, glass: walked.glass, kPerPa: PLAIN.kPerPa, ringStepMm: 1 });
    const forecast = Array.from(profileNm(removal));
    // The executed steps lie within a step and a half of the path; the rest is how finely either side sums.
    expect(Math.abs(volume(depths(glass)) / volume(forecast) - 1)).toBeLessThan(1e-3);
    expect(worst(depths(glass), forecast)).toBeLessThan(3e-3 * Math.max(...forecast));
    // Whole turns: what is left round the glass is where single strokes fell.
    const most = Math.max(...[1, 2, 3, 4].flatMap((m) => Array.from(amplitudes(glass.state.heightNm, m))));
    expect(most).toBeLessThan(0.02 * Math.max(...forecast));
  });

  it('takes the same off point by point as by whole strokes', async () => {
    const { run, plan, glass } = await laid(MIXED);
    const pointByPoint = level(MIXED);
    // Told of a path that lies 1 mm further in, it finds none of its strokes.
    const beside = program(
      MIXED.stints.map((stint) => ({ ...stint, settingMm: stint.settingMm - 1 })),
      { turntableRpm: RPM },
    );
    const other = { path: planOf(beside, quickStand).path, lap: MIXED.lap };
    run.simulation.add(new GlassUnderLap(run.stand, pointByPoint, other, () => turnsOf(run)));
    await ask(run, START, 'Complete');
    const whole = depths(glass);
    expect(worst(whole, planned(MIXED, [0, plan.path.turns]))).toBeLessThan(1e-3 * Math.max(...whole));
    expect(worst(depths(pointByPoint), whole)).toBeLessThan(3e-3 * Math.max(...whole));
    expect(Math.abs(volume(depths(pointByPoint)) / volume(whole) - 1)).toBeLessThan(1e-3);
  });
});

describe('what was not planned', () => {
  it('is not worn by a lap that is up: neither by the search for references nor by a run in the air', async () => {
    const { run, glass } = await laid(PLAINLY);
    await ask(run, IN_THE_AIR, 'Complete');
    expect(depths(glass).every((depth) => depth === 0)).toBe(true);
    await ask(run, reset, 'Idle');
    await ask(run, START, 'Execute');
    await run.until(() => turnsOf(run) > 0.3, 60);
    expect(volume(depths(glass))).toBeGreaterThan(0);
  });

  it('a pause wears nothing, and a run that was stopped and gone on with ends as one that was not', async () => {
    const { run, plan, glass } = await laid(MIXED);
    await ask(run, START, 'Execute');
    await run.until(() => turnsOf(run) > 0.7, 60);
    await ask(run, { kind: 'command', command: 'hold' }, 'Held');
    const held = depths(glass);
    const due = run.seconds + 30;
    await run.until(() => run.seconds > due, 60);
    expect(depths(glass)).toEqual(held);
    await ask(run, { kind: 'command', command: 'unhold' }, 'Execute');
    await run.until(() => turnsOf(run) > 2.2, 60);
    await ask(run, stop, 'Stopped');
    await ask(run, reset, 'Idle');
    await ask(run, GO_ON, 'Complete');
    const whole = planned(MIXED, [0, plan.path.turns]);
    // Where it eased and began anew the strokes are worn in points.
    expect(worst(depths(glass), whole)).toBeLessThan(1e-3 * Math.max(...whole));
  });

  it('a stretch that is walked twice is worn twice', async () => {
    const { run, plan, glass } = await laid(PLAINLY);
    await ask(run, START, 'Execute');
    await run.until(() => turnsOf(run) > 1.6, 60);
    await ask(run, stop, 'Stopped');
    const stood = turnsOf(run);
    // The host is started anew and knows no more than where the run was seen half a turn earlier.
    const interrupted = { runId: 'run-1', turnsWalked: stood - 0.5 };
    const later = await laid(PLAINLY, glass, { interrupted });
    await ask(later.run, GO_ON, 'Complete');
    const twice = planned(PLAINLY, [0, stood], [stood - 0.5, plan.path.turns]);
    expect(worst(depths(glass), twice)).toBeLessThan(1e-3 * Math.max(...twice));
    const once = planned(PLAINLY, [0, plan.path.turns]);
    expect(volume(depths(glass)) / volume(once)).toBeCloseTo(1 + 0.5 / plan.path.turns, 2);
  });

  it('a slide that was pushed wears where it stands', async () => {
    const { run, glass } = await laid(PLAINLY);
    await ask(run, START, 'Execute');
    run.stand.push('radial', 3 * quickStand.axes.radial.stepsPerUnit);
    await reach(run, 'Complete');
    const pushed = program([{ turns: 3, settingMm: 93 }], { turntableRpm: RPM });
    const there = planned(pushed, [0, 3]);
    expect(worst(depths(glass), there)).toBeLessThan(0.01 * Math.max(...there));
    const here = planned(PLAINLY, [0, 3]);
    expect(worst(depths(glass), here)).toBeGreaterThan(0.1 * Math.max(...here));
  });

  it('a glass that slipped and was set right wears as planned, but for the strokes between', async () => {
    const { run, plan, glass } = await laid(PLAINLY);
    await ask(run, START, 'Execute');
    await run.until(() => turnsOf(run) > 0.4, 60);
    run.stand.slip('turntable', -0.3);
    await reach(run, 'Complete');
    expect(run.conductor.result().slipSteps).toBeGreaterThan(0);
    const whole = planned(PLAINLY, [0, plan.path.turns]);
    expect(worst(depths(glass), whole)).toBeLessThan(5e-3 * Math.max(...whole));
  });

  it('a quarter of a turn leaves a wedge, and what it leaves along two diameters differs', async () => {
    const { run, glass } = await laid(PLAINLY);
    await ask(run, START, 'Execute');
    await run.until(() => turnsOf(run) > 0.23, 60);
    await ask(run, stop, 'Stopped');
    const mean = Math.max(...depths(glass));
    // A sharp wedge of a quarter has 1.80 and 1.27 of its mean in them; a lap of 60 mm on a stroke of 80 mm smears it.
    const share = (m: number): number => Math.max(...amplitudes(glass.state.heightNm, m)) / mean;
    expect(share(1)).toBeGreaterThan(1.2);
    expect(share(1)).toBeLessThan(1.8);
    expect(share(2)).toBeGreaterThan(0.4);
    expect(share(2)).toBeLessThan(1.27);
    const tester = { ...testerFor(PLAINLY.glass), noiseMm: 0, takes: 1, diametersDeg: [0, 60, 120] };
    const { astigmatism } = reduce({ ...glass.measure(tester, seeded(1)), repeatabilityMm: 0.001 });
    expect(astigmatism!.surfacePvNm).toBeGreaterThan(0.1 * mean);
  });
});
