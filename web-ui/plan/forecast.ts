/**
 * What a planned program comes to: gearing, limits of the stand, depth, evenness. Pure, so that tests call it as the workers do. The
 * light forecast keeps up with a dragging hand; the whole one adds what takes longer (lap pattern, harmonics, remainders).
 */
import { isEven, offerTurns } from '../../planner/gearing/choose';
import { gearGroups } from '../../planner/gearing/gearing';
import { type ReversalRing, reversalRing } from '../../planner/gearing/ring';
import { lapOrders } from '../../planner/gearing/score';
import type { GearedStint } from '../../planner/gearing/types';
import { planProgram } from '../../planner/path/plan';
import type { Path } from '../../planner/path/types';
import type { Program } from '../../planner/program/types';
import { lapPattern } from '../../planner/removal/pattern';
import { AZIMUTHS, predictionOf, removalOf } from '../../planner/removal/predict';
import { depthAtNm, type Profile, peakIndex } from '../../planner/removal/profile-measures';
import { type Reason, RemovalRefused } from '../../planner/removal/refusal';
import { profileNm, type Removal } from '../../planner/removal/removal';
import { OtherSense, type Standing, stintForecast } from '../../planner/removal/stint-forecast';
import type { Prediction, StintForecast } from '../../planner/removal/types';
import type { Stand } from '../../planner/stand/types';
import type { LimitComplaint } from '../../planner/timing/types';

export interface ForecastAsk {
  /** Counts up; the answer bears it. */
  number: number;
  /** Its stints' `line` is their number for people. */
  program: Program;
  stand: Stand;
  /** Preston's coefficient, 1/Pa. */
  kPerPa: number;
  standing: Standing;
  /** Number of the stint that is looked at. */
  stint: number;
  whole: boolean;
}

/** What the gearing made of a stint. */
export type Geared = Pick<
  GearedStint,
  'strokes' | 'strokesPerTurn' | 'nudges' | 'clockings' | 'clockingTurns' | 'distinctAzimuths' | 'evenness' | 'warnings'
>;

/** Another number of turns with which a stint comes out more evenly. */
export interface Offer {
  turns: number;
  strokes: number;
  evenness: number;
  even: boolean;
}

export interface Ring extends ReversalRing {
  /** How many places there are; the lists hold so many at most that they can be told apart. */
  counts: { near: number; far: number; nudged: number };
}

export interface Forecast {
  number: number;
  limits: LimitComplaint[];
  refused: Reason[];
  /** Null where an axis cannot follow. */
  durationSeconds: number | null;
  rests: { turns: number; reason: Path['rests'][number]['reason'] }[];
  /** By the stints' numbers. */
  geared: Partial<Record<number, Geared>>;
  offers: Offer[];
  ring: Ring;
  /** Depth by radius, of all and of the stint that is looked at; null where the work is refused. */
  profile: { stepMm: number; depthNm: Float64Array; stintNm: Float64Array } | null;
  /** Of the stint that is looked at, its repeats counted in. */
  stint: StintForecast | null;
  prediction: Prediction | null;
}

/** More places than this on the ring run into each other. */
const MOST_PLACES = 720;

export function forecast(ask: ForecastAsk): Forecast {
  const { program, stand, number, stint } = ask;
  const { geared, path, law, complaints } = planProgram(program, stand);
  const summaries: Forecast['geared'] = {};
  for (const each of geared) summaries[each.stint.line] ??= summary(each);
  const own = geared.filter((each) => each.stint.line === stint);
  return {
    number,
    limits: complaints,
    durationSeconds: law?.durationSeconds ?? null,
    rests: path.rests.map(({ turns, reason }) => ({ turns, reason })),
    geared: summaries,
    offers: offersFor(program, stint),
    ring: ringOf(own),
    ...depths(ask, path),
  };
}

function summary(geared: Geared): Geared {
  const { strokes, strokesPerTurn, nudges, clockings, clockingTurns, distinctAzimuths, evenness, warnings } = geared;
  return { strokes, strokesPerTurn, nudges, clockings, clockingTurns, distinctAzimuths, evenness, warnings };
}

function offersFor(program: Program, line: number): Offer[] {
  const group = gearGroups(program).find(({ members }) => program.stints[members[0]!]!.line === line);
  if (!group || isEven(group.choice)) return [];
  return offerTurns(group.ask, group.choice, lapOrders(program.lap)).map((choice) => ({
    turns: choice.pattern.turns / choice.pattern.occurrences,
    strokes: choice.pattern.strokes / choice.pattern.occurrences,
    evenness: 1 - choice.worst,
    even: isEven(choice),
  }));
}

/** Places where the strokes of a stint turn round, in all its repeats. */
function ringOf(geared: readonly GearedStint[]): Ring {
  const rings = geared.map(reversalRing);
  const all = (of: (ring: ReversalRing) => number[]): number[] =>
    [...new Set(rings.flatMap((ring) => of(ring).map((place) => Math.round(place * 1e9))))]
      .sort((a, b) => a - b)
      .map((place) => place / 1e9);
  const near = all((ring) => ring.near);
  const nudged = all((ring) => ring.nudged);
  const far = all((ring) => ring.far);
  const counts = { near: near.length, far: far.length, nudged: nudged.length };
  return { near: thinned(near), far: thinned(far), nudged: thinned(nudged), counts };
}

function thinned(places: number[]): number[] {
  const every = Math.ceil(places.length / MOST_PLACES);
  return every > 1 ? places.filter((_, index) => index % every === 0) : places;
}

function depths(ask: ForecastAsk, path: Path): Pick<Forecast, 'refused' | 'profile' | 'stint' | 'prediction'> {
  const { program, kPerPa, standing } = ask;
  try {
    const removal = removalOf(program, { path }, { kPerPa });
    const { profile, stint } = ownDepths(removal, ask);
    const prediction = ask.whole ? predictionOf(removal, lapPattern(removal, AZIMUTHS), { standing }) : null;
    return { refused: [], profile, stint, prediction };
  } catch (error) {
    if (error instanceof RemovalRefused) {
      return { refused: [...error.reasons], profile: null, stint: null, prediction: null };
    }
    throw error;
  }
}

function ownDepths(removal: Removal, { standing, stint: line }: ForecastAsk): Pick<Forecast, 'profile' | 'stint'> {
  const { stepMm } = removal.rings;
  const own = removal.task.path.stints.flatMap(({ geared }, index) => (geared.stint.line === line ? [index] : []));
  const stintNm = new Float64Array(removal.rings.count);
  for (const index of own) {
    const once = profileNm(removal, index);
    for (let j = 0; j < stintNm.length; j++) stintNm[j]! += once[j]!;
  }
  const first = own[0];
  const once = first === undefined ? null : stintForecast(removal, first, standing, new OtherSense(removal));
  return {
    profile: { stepMm, depthNm: profileNm(removal), stintNm },
    stint: once && inAll(once, { stepMm, depthNm: stintNm }),
  };
}

/** The report of one occurrence with the depths of all of them; a rim beyond the axis lies at that distance on its other side. */
function inAll(once: StintForecast, profile: Profile): StintForecast {
  const at = <R extends StintForecast['middle']>(rim: R): R => ({
    ...rim,
    depthNm: depthAtNm(profile, Math.abs(rim.radiusMm)),
  });
  const peakNm = profile.depthNm[peakIndex(profile)]!;
  return { ...once, peakNm, innerRim: at(once.innerRim), middle: at(once.middle), outerRim: at(once.outerRim) };
}
