/**
 * One mirror from raw to figured, as an optician works: measure, ask for a suggestion, run it, measure again, learn. The glass
 * is virtual and hides how it wears; judged is its true surface, which nobody in the loop sees.
 */
import { drawTruth, type GlassTruth, type Random } from '../../firmware-host/virtual/glass/truth';
import { VirtualGlass } from '../../firmware-host/virtual/glass/virtual-glass';
import { carryOn } from '../../planner/figure/carry-on';
import { askedConic, focusShapeMm2 } from '../../planner/figure/conic';
import type { ZoneWindow } from '../../planner/figure/knife-edge';
import { reduce } from '../../planner/figure/reduce';
import { referenceLine } from '../../planner/figure/reference';
import { splineThrough } from '../../planner/figure/spline';
import type { Measurement } from '../../planner/figure/types';
import { BEFORE_LEARNING, combine } from '../../planner/learn/combine';
import { evidenceOf } from '../../planner/learn/from-run';
import { tooShallow } from '../../planner/learn/too-shallow';
import type { RunEvidence } from '../../planner/learn/types';
import { planProgram } from '../../planner/path/plan';
import type { Path } from '../../planner/path/types';
import { readProgram } from '../../planner/program/read-program';
import type { Program } from '../../planner/program/types';
import { radiiMm } from '../../planner/removal/profile';
import { prepareRemoval, profileNm } from '../../planner/removal/removal';
import type { Lap, Shelf } from '../../planner/shelf/types';
import type { Stand } from '../../planner/stand/types';
import type { CandidateCache } from '../../planner/suggest/candidates';
import type { LinearSolver } from '../../planner/suggest/milp';
import { suggest } from '../../planner/suggest/suggest';

export interface Workshop {
  shelf: Shelf;
  glassId: string;
  stand: Stand;
  solver: LinearSolver;
  cache: CandidateCache;
  /** Whether the tester shows the surface as it is instead of reading it through a mask with noise. */
  perfectTester: boolean;
  /** Runs a program that was suggested: what the stand does to the glass. */
  run(virtual: VirtualGlass, program: Program, path: Path): Promise<void>;
}

export interface Feature {
  radiusMm: number;
  widthMm: number;
  heightNm: number;
}

export interface Cycle {
  /** Before the run: what was measured and what is true; wavefront, highest to lowest, nm. */
  measuredPvNm: number;
  truePvNm: number;
  lap: string;
  turns: number;
  stints: number;
  minutes: number;
  kRatio: number;
  kSigma: number;
  /** Deepest cut so far below the highest surface that lay under the true glass at the start, nm. */
  overcutNm: number;
}

export interface Job {
  seed: number;
  features: Feature[];
  windows: number;
  truth: GlassTruth;
  cycles: Cycle[];
  startPvNm: number;
  /** Wavefront at the end, true, nm. */
  endPvNm: number;
  overcutNm: number;
  minutes: number;
}

export const MOST_CYCLES = 5;
export const WAVELENGTH_NM = 550;
/** 1/8 wave of the wavefront, as surface. */
const GOAL_NM = WAVELENGTH_NM / 16;
/** Of the goal, what a measurement must be within before the work is ended: the measurement itself errs. */
const ENOUGH = 0.7;
/** Of the goal, what may stay low: small dips are not worth lowering the whole glass for, and half of them are noise. */
const ALLOWED_LOW = 0.1;
const RPM = 2.5;
const STROKES_PER_MINUTE = 44;
const NOISE_MM = 0.02;
const MARGIN_NM = 1.5;
/** Takes more, before the glass is called done. */
const READ_AGAIN = 3;
/** How far a forecast's shape is trusted when a measurement is carried over a run. */
const FORECAST_DOUBT = 0.08;

/** What books and earlier work say of the coefficient: off by up to 40 % either way, evenly: a standard deviation of 0.4/sqrt(3). */
const PRIOR = { kPerPa: BEFORE_LEARNING.kPerPa, sigma: 0.4 / Math.sqrt(3) };

/** Raised-cosine rings, the base at least three windows wide, inside 95 % of the aperture, scaled to the start's wavefront. */
export function drawFeatures(
  random: Random,
  rimMm: number,
  windowMm: number,
): { features: Feature[]; startPvNm: number } {
  const count = 1 + Math.floor(3 * random());
  const features = Array.from({ length: count }, () => {
    const widthMm = (3 + 3 * random()) * windowMm;
    const radiusMm = random() * (0.95 * rimMm - widthMm / 2);
    return { radiusMm, widthMm, heightNm: (random() < 0.5 ? -1 : 1) * (0.3 + 0.7 * random()) };
  });
  return { features, startPvNm: 150 + 250 * random() };
}

export function heightOf(features: readonly Feature[]): (rMm: number) => number {
  return (r) => {
    let sum = 0;
    for (const { radiusMm, widthMm, heightNm } of features) {
      for (const sign of [1, -1]) {
        const x = (sign * r - radiusMm) / (widthMm / 2);
        if (Math.abs(x) < 1) sum += heightNm * Math.cos((Math.PI / 2) * x) ** 2;
      }
    }
    return sum;
  };
}

const NOTHING_RUN = { value: () => 0, slope: () => 0 };

export async function play(seed: number, random: Random, workshop: Workshop): Promise<Job> {
  const { shelf, glassId, stand, perfectTester } = workshop;
  const glass = shelf.glasses[glassId]!;
  const rimMm = glass.clearApertureMm / 2;
  const windowCount = 8 + Math.floor(5 * random());
  const windowMm = rimMm / windowCount;
  const windows: ZoneWindow[] = Array.from({ length: windowCount }, (_, i) => {
    return { fromMm: i * windowMm, toMm: (i + 1) * windowMm, atMm: null };
  });
  const { features, startPvNm } = drawFeatures(random, rimMm, windowMm);
  const truth = drawTruth(random, PRIOR.kPerPa);
  const scale = startPvNm / 2 / truePvNm(new VirtualGlass(glass, truth, heightOf(features)));
  for (const feature of features) feature.heightNm *= scale;
  const virtual = new VirtualGlass(glass, truth, heightOf(features));
  const tester = {
    source: 'moving' as const,
    slitMm: 0.05,
    noiseMm: NOISE_MM,
    zeroMm: 12,
    windows,
    diametersDeg: [0],
    takes: 1,
  };
  const measure = (): Measurement => (perfectTester ? virtual.profile() : virtual.measure(tester, random));
  const floor = lowestAllowed(virtual);
  const evidence = new Map<string, RunEvidence[]>();
  const worked = new Map<string, number>();
  const cycles: Cycle[] = [];
  let figure = reduce(measure());
  const knowledgeOf = (lap: Lap) => {
    // Every lap on this shelf shares pitch and slurry: what one teaches holds for the others, a little less surely.
    const own = evidence.get(lap.id) ?? [];
    const others = [...evidence].filter(([id]) => id !== lap.id).flatMap(([, runs]) => runs);
    const all = [
      ...own,
      ...others.map((run) => ({ ...run, kSigmaPerPa: Math.hypot(run.kSigmaPerPa, 0.1 * run.kPerPa) })),
    ];
    return combine(all, PRIOR, worked.get(lap.id) ?? 0);
  };
  const ask = () =>
    suggest(
      {
        figure,
        laps: Object.values(shelf.laps),
        slurryId: null,
        shelf,
        stand,
        turntableRpm: RPM,
        strokesPerMinute: STROKES_PER_MINUTE,
        knowledgeOf,
        enoughNm: ENOUGH * GOAL_NM,
        marginNm: MARGIN_NM,
        downTo: 'lowest zone',
        allowedLowNm: ALLOWED_LOW * GOAL_NM,
        edgeWeight: 1,
        seconds: 20,
        alternatives: false,
      },
      workshop.solver,
      workshop.cache,
    );
  for (let cycle = 0; cycle < MOST_CYCLES; cycle++) {
    let asked = ask();
    if (asked.kind === 'nothing to do' && !perfectTester) {
      // Nobody ends the work on one reading: the zones are read again, and again, before the glass is called done.
      const again = virtual.measure({ ...tester, takes: READ_AGAIN }, random);
      figure = reduce(again, 'best fit', carryOn(figure, NOTHING_RUN, 0));
      asked = ask();
    }
    const { plan } = asked;
    if (!plan || plan.stints.length === 0) break;
    const { program, complaints } = readProgram(plan.programText, `suggestion ${seed}.${cycle}`, shelf);
    if (!program)
      throw new Error(`The suggested program cannot be read: ${complaints.map((c) => c.message).join(' ')}`);
    const { path, complaints: limits } = planProgram(program, stand);
    if (limits.length > 0) throw new Error(`The suggested program cannot be walked: ${limits[0]!.message}`);
    const lap = program.lap;
    const knowledge = knowledgeOf(lap);
    const before = { measured: 2 * figure.pvNm, true: 2 * truePvNm(virtual) };
    await workshop.run(virtual, program, path);
    virtual.rest(600);
    const removal = prepareRemoval({ path, lap, glass, kPerPa: knowledge.kPerPa, ringStepMm: 1, pointStepMm: 2.5 });
    const forecastNm = profileNm(removal);
    const measurement = measure();
    const after = reduce(measurement);
    const minutesBefore = worked.get(lap.id) ?? 0;
    const minutes = path.turns / RPM;
    const run = evidenceOf({
      id: `${seed}.${cycle}`,
      lapId: lap.id,
      slurryId: null,
      glassId,
      before: figure,
      after,
      forecast: { radiusMm: Array.from(radiiMm(removal.rings)), removalNm: Array.from(forecastNm) },
      kPerPa: knowledge.kPerPa,
      minutesBefore,
      minutes,
      meanSpeedMmPerS: 80,
    });
    const { kPerPa } = knowledge;
    const at = {
      forecastPeakNm: Math.max(...forecastNm),
      turns: path.turns,
      assumedKPerPa: kPerPa,
      heldKPerPa: kPerPa,
    };
    if (run && tooShallow(run, at) === null) evidence.set(lap.id, [...(evidence.get(lap.id) ?? []), run]);
    worked.set(lap.id, minutesBefore + minutes);
    const learned = knowledgeOf(lap);
    // What the readings say, together with what the glass before and the run lead to expect.
    const share = learned.kPerPa / knowledge.kPerPa;
    const removed = splineThrough(
      radiiMm(removal.rings),
      forecastNm.map((depth) => share * depth),
    );
    const expected = carryOn(figure, removed, Math.hypot(learned.sigma, FORECAST_DOUBT));
    figure = reduce(measurement, 'best fit', expected);
    cycles.push({
      measuredPvNm: before.measured,
      truePvNm: before.true,
      lap: lap.id,
      turns: path.turns,
      stints: plan.stints.length,
      minutes,
      kRatio: knowledge.kPerPa / truth.kPerPa,
      kSigma: knowledge.sigma,
      overcutNm: overcutNm(virtual, floor),
    });
  }
  return {
    seed,
    features,
    windows: windowCount,
    truth,
    cycles,
    startPvNm,
    endPvNm: 2 * truePvNm(virtual),
    overcutNm: overcutNm(virtual, floor),
    minutes: cycles.reduce((sum, cycle) => sum + cycle.minutes, 0),
  };
}

export function truePvNm(virtual: VirtualGlass): number {
  return reduce(virtual.profile()).pvNm;
}

/** Height of the highest surface of the asked conic that lies wholly under the true glass: going below it is overcut. */
function lowestAllowed(virtual: VirtualGlass): Float64Array {
  const { radiusMm, heightNm, shape } = trueHeights(virtual);
  const line = referenceLine('highest under', shape, heightNm, radiusMm);
  return shape.map((g) => line.pistonNm + line.focus * g);
}

function overcutNm(virtual: VirtualGlass, floor: Float64Array): number {
  const { heightNm } = trueHeights(virtual);
  return heightNm.reduce((most, h, i) => Math.max(most, floor[i]! - h), 0);
}

function trueHeights(virtual: VirtualGlass): { radiusMm: Float64Array; heightNm: Float64Array; shape: Float64Array } {
  const { points } = virtual.profile();
  const conic = askedConic(virtual.glass);
  const radiusMm = Float64Array.from(points, (point) => point.radiusMm);
  return {
    radiusMm,
    heightNm: Float64Array.from(points, (point) => point.heightNm),
    shape: radiusMm.map((r) => focusShapeMm2(conic, r)),
  };
}
