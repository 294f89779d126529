/** From a run that was walked and the figures before and after it to the coefficient for the next one. */
import type { Figure } from '../figure/types';
import { planProgram } from '../path/plan';
import type { Path } from '../path/types';
import type { Program } from '../program/types';
import { radiiMm } from '../removal/profile';
import { prepareRemoval, profileNm } from '../removal/removal';
import type { Stand } from '../stand/types';
import { BEFORE_LEARNING, combine } from './combine';
import { evidenceOf } from './from-run';
import { NO_SHAPE, tooShallow } from './too-shallow';
import type { BreakIn, Learned, RunEvidence } from './types';

/** What was walked between the two measurements. */
export interface WalkedRun {
  id: string;
  program: Program;
  stand: Stand;
  /** Turns walked; null: the whole program. */
  turns: number | null;
  /** Minutes of work; null: as long as at the planned pace. */
  minutes: number | null;
  virtual: boolean;
}

/** What a run taught, and how long the lap worked in it. */
export interface Taught {
  evidence: RunEvidence;
  minutes: number;
}

/** What the run taught, or why it taught nothing, in words; `learned` is then without it. */
export type LearnedFromRun = { learned: Learned } & (
  | { taught: Taught; refused: null }
  | { taught: null; refused: string }
);

/** Why these two measurements cannot be those before and after the run; null where they can. */
export function mismatchOf({ program, virtual }: WalkedRun, before: Figure, after: Figure): string | null {
  const asked = program.glass;
  for (const [when, { glass }] of [
    ['before', before],
    ['after', after],
  ] as const) {
    if (glass.id !== asked.id || glass.diameterMm !== asked.diameterMm)
      return (
        `The measurement ${when} is of "${glass.title}", but "${program.title}" was run on "${asked.title}". ` +
        'Choose a measurement of the glass that was run.'
      );
  }
  if (!virtual && (before.virtual || after.virtual))
    return 'This run was of iron, but a measurement was read from a virtual glass: nothing is learned from that. Measure the real glass.';
  return null;
}

/**
 * @param earlier what runs with the same lap, slurry and glass taught before, oldest first, without this run
 * @throws RemovalRefused where no forecast of the run can be made
 */
export function learnFromRun(
  walked: WalkedRun,
  before: Figure,
  after: Figure,
  earlier: readonly Taught[],
): LearnedFromRun {
  const { program } = walked;
  const { path } = planProgram(program, walked.stand);
  const turns = Math.min(path.turns, walked.turns ?? path.turns);
  const minutes = walked.minutes ?? turns / program.turntableRpm;
  const minutesBefore = earlier.reduce((sum, one) => sum + one.minutes, 0);
  const forecast = forecastOf(program, path, turns);
  const found = evidenceOf({
    id: walked.id,
    lapId: program.lap.id,
    slurryId: program.slurry?.id ?? null,
    glassId: before.glass.id,
    before,
    after,
    forecast,
    kPerPa: BEFORE_LEARNING.kPerPa,
    minutesBefore,
    minutes,
    meanSpeedMmPerS: wayMm(path, turns) / (60 * minutes),
  });
  const all = earlier.map((one) => one.evidence);
  const held = combine(all, BEFORE_LEARNING, minutesBefore + minutes);
  if (found === null) return { taught: null, refused: NO_SHAPE, learned: held };
  const refused = tooShallow(found, {
    forecastPeakNm: Math.max(...forecast.removalNm),
    turns,
    assumedKPerPa: BEFORE_LEARNING.kPerPa,
    heldKPerPa: held.kPerPa,
  });
  if (refused !== null) return { taught: null, refused, learned: held };
  return {
    taught: { evidence: found, minutes },
    refused: null,
    learned: combine([...all, found], BEFORE_LEARNING, minutesBefore + minutes),
  };
}

function forecastOf(program: Program, path: Path, untilTurns: number): { radiusMm: number[]; removalNm: number[] } {
  const { lap, glass } = program;
  const removal = prepareRemoval({ path, lap, glass, kPerPa: BEFORE_LEARNING.kPerPa, untilTurns, ringStepMm: 1 });
  return { radiusMm: Array.from(radiiMm(removal.rings)), removalNm: Array.from(profileNm(removal)) };
}

const PROBES_PER_STROKE = 24;

/** Way of the lap's centre over the glass, mm, by the places it passes. */
function wayMm(path: Path, turns: number): number {
  const strokes = path.stints.reduce((sum, stint) => sum + stint.geared.strokes, 0);
  const probes = Math.max(100, Math.ceil((PROBES_PER_STROKE * strokes * turns) / path.turns));
  const rates = new Float64Array(8);
  const place = new Float64Array(4);
  let sum = 0;
  for (let i = 0; i < probes; i++) {
    const u = ((i + 0.5) / probes) * turns;
    path.sample(u, place);
    path.derivatives(u, rates);
    const spin = 2 * Math.PI * rates[0]!;
    sum += Math.hypot(rates[1]! + spin * place[2]!, rates[2]! - spin * place[1]!);
  }
  return (sum / probes) * turns;
}

/** What learning came to, as `learn --json` prints it and the pages show it; units in the names. */
export interface LearnReport {
  virtual: boolean;
  /** Coefficient for the next run, 1/Pa, and its relative standard deviation. */
  kPerPa: number;
  kSigma: number;
  runs: number;
  breakIn: BreakIn | null;
  /** Radii of the two lists below; all three empty where the run took off too little to tell. */
  radiusMm: number[];
  /** Removed less forecast at the run's own coefficient, nm, and half the width of its 95 % band. */
  shapeResidualNm: number[];
  shapeBandNm: number[];
  /** Actual over forecast depth; null where nothing was learned. */
  ratio: number | null;
  misfit: number | null;
  /** Why nothing was learned, in words; null where something was. */
  refused: string | null;
  causes: string[];
  warnings: string[];
}

export function learnReport({ taught, refused, learned }: LearnedFromRun, virtual: boolean): LearnReport {
  const evidence = taught?.evidence;
  return {
    virtual,
    kPerPa: learned.kPerPa,
    kSigma: learned.sigma,
    runs: learned.runs,
    breakIn: learned.breakIn,
    radiusMm: evidence?.radiusMm ?? [],
    shapeResidualNm: evidence?.shapeResidualNm ?? [],
    shapeBandNm: evidence?.shapeBandNm ?? [],
    ratio: evidence?.ratio ?? null,
    misfit: evidence?.misfit ?? null,
    refused,
    causes: evidence?.causes ?? [],
    warnings: learned.warnings,
  };
}
