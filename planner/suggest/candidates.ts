/** The stints that could be worked with one lap: settings x lengths x shapes x nudges, and what a turn of each takes off. */
import type { GearedStint } from '../gearing/types';
import { buildPath } from '../path/path';
import { maxPaceRate } from '../path/peaks';
import type { Program, Stint } from '../program/types';
import { RemovalRefused } from '../removal/refusal';
import { polishedRing, prepareRemoval, profileNm } from '../removal/removal';
import type { Glass, Lap } from '../shelf/types';
import type { Axis, Stand } from '../stand/types';
import type { Candidate } from './types';

export interface CandidateSettings {
  glass: Glass;
  lap: Lap;
  kPerPa: number;
  turntableRpm: number;
  strokesPerMinute: number;
  /** Limits of travel; null: none are known. */
  stand: Stand | null;
  /** Radii at which profiles are wanted, mm ascending. */
  radiusMm: Float64Array;
}

/** A lap may hang over the rim by this share of its diameter: beyond it the inner side begins to lift (linear pressure). */
const OVERHANG = 0.25;
/** Distance of neighbouring settings, in lap radii: fine enough that rims of neighbours blend. */
const SETTING_STEP = 0.2;
const MOST_SETTINGS = 36;
/** Stroke lengths tried, in lap diameters. */
const LENGTHS = [0.35, 0.8, 1.4];
/** Width of the ellipses and offset of the nudges tried, in lap diameters. */
const WIDTH = 0.25;
const NUDGE = 0.2;
const NUDGE_EVERY = 3;
/** Turns the model of a candidate walks: strokes per turn need not be whole, in five turns a rate is met to a percent or so. */
const MODEL_TURNS = 5;
const MODEL_RING_MM = 1;
const MODEL_POINT_MM = 2.5;

/**
 * Keeps candidates: making them is most of the work of a suggestion, and all they depend on beside glass, lap and pace is the
 * coefficient, which scales them.
 */
export class CandidateCache {
  private readonly known = new Map<string, { kPerPa: number; candidates: Candidate[] }>();

  get(settings: CandidateSettings): Candidate[] {
    const { kPerPa, radiusMm, ...rest } = settings;
    const key = JSON.stringify([rest, radiusMm.length, radiusMm[0], radiusMm[radiusMm.length - 1]]);
    let found = this.known.get(key);
    if (!found) {
      found = { kPerPa, candidates: candidatesOf(settings) };
      this.known.set(key, found);
    }
    const scale = kPerPa / found.kPerPa;
    if (scale === 1) return found.candidates;
    return found.candidates.map((one) => ({
      ...one,
      profileNmPerTurn: one.profileNmPerTurn.map((depth) => depth * scale),
    }));
  }
}

/** Candidates whose lap tips or leaves the stand's travel are left out; the list may be empty: no setting fits this lap. */
export function candidatesOf(settings: CandidateSettings): Candidate[] {
  const { glass, lap } = settings;
  const diameterMm = lap.outline.diameterMm;
  const { rimMm, holeMm } = polishedRing(glass);
  const out: Candidate[] = [];
  const reachMm = rimMm - diameterMm / 2 + OVERHANG * diameterMm;
  const step = Math.max((SETTING_STEP * diameterMm) / 2, (reachMm - holeMm) / MOST_SETTINGS);
  for (const length of LENGTHS) {
    const lengthMm = round(length * diameterMm);
    for (const variant of ['straight', 'ellipse', 'nudged'] as const) {
      for (const settingMm of settingsOf(holeMm, outermost(variant, lengthMm, diameterMm, reachMm), step)) {
        const stint = stintOf(settings, settingMm, lengthMm, variant);
        if (!staysOn(stint, settings, reachMm)) continue;
        const one = candidateOf(settings, stint);
        if (one) out.push(one);
      }
    }
  }
  return out;
}

type Variant = 'straight' | 'ellipse' | 'nudged';

/** From the inside to the outermost, which the rim of the glass needs, in even steps near the wanted one. */
function settingsOf(innerMm: number, outerMm: number, stepMm: number): number[] {
  if (outerMm < innerMm) return [];
  const count = Math.max(1, Math.round((outerMm - innerMm) / stepMm));
  return Array.from({ length: count + 1 }, (_, i) => round(innerMm + (i * (outerMm - innerMm)) / count));
}

/** Where the stroke's ends, or the far side of the ellipse, just keep the lap within reach. */
function outermost(variant: Variant, lengthMm: number, diameterMm: number, reachMm: number): number {
  const chord = Math.sqrt(Math.max(0, reachMm ** 2 - (lengthMm / 2) ** 2));
  const limit = variant === 'ellipse' ? Math.min(chord, reachMm - round(WIDTH * diameterMm) / 2) : chord;
  return Math.floor(2 * limit) / 2;
}

/** People set scales to half millimetres at best. */
function round(mm: number): number {
  return Math.round(mm * 2) / 2;
}

function stintOf(
  { lap, strokesPerMinute }: CandidateSettings,
  settingMm: number,
  lengthMm: number,
  variant: Variant,
): Stint {
  const diameterMm = lap.outline.diameterMm;
  return {
    turns: MODEL_TURNS,
    shape: variant === 'ellipse' ? 'ellipse' : 'straight',
    settingMm,
    lengthMm,
    widthMm: variant === 'ellipse' ? round(WIDTH * diameterMm) : 0,
    sense: 1,
    strokesPerMinute,
    rateTolerance: 0.1,
    nudge: variant === 'nudged' ? { everyStrokes: NUDGE_EVERY, byMm: round(NUDGE * diameterMm) } : null,
    clocking: lap.rotation === 'free' ? { kind: 'free' } : { kind: 'none' },
    line: 0,
    group: 0,
  };
}

/** Whether the lap's centre keeps within reach at every place of the stroke, and the slides within their travel. */
function staysOn(stint: Stint, { stand }: CandidateSettings, reachMm: number): boolean {
  const outerMm = stint.settingMm + stint.widthMm / 2;
  const innerMm = stint.settingMm - stint.widthMm / 2 - (stint.nudge?.byMm ?? 0);
  if (Math.max(Math.hypot(stint.settingMm, stint.lengthMm / 2), outerMm) > reachMm) return false;
  if (innerMm < 0) return false;
  if (!stand) return true;
  const { stroke, radial } = stand.axes;
  const half = stint.lengthMm / 2;
  const strokeFits = half <= (stroke.max ?? Infinity) && -half >= (stroke.min ?? -Infinity);
  const radialFits = outerMm <= (radial.max ?? Infinity) && innerMm >= (radial.min ?? -Infinity);
  // Largest demands of the strokes, psi = omega t: L/2 and W/2 swing as sines; d sin^4(psi/2) bends most at its far end, by
  // d omega^2. The chip's easing changes the pace itself by up to `easing` a second, which adds speed times that. The gearing may
  // take a rate a little higher than asked. The time law has the last word; this leaves out what it would surely refuse.
  const omega = ((2 * Math.PI * stint.strokesPerMinute) / 60) * (1 + stint.rateTolerance);
  const easing = maxPaceRate(stand);
  const fits = (swing: number, { maxSpeed, maxAcceleration }: Axis): boolean => {
    return swing * omega <= maxSpeed && swing * omega * (omega + easing) <= maxAcceleration;
  };
  const paceFits = fits(half, stroke) && fits(stint.widthMm / 2 + (stint.nudge?.byMm ?? 0), radial);
  return strokeFits && radialFits && paceFits;
}

function candidateOf(settings: CandidateSettings, stint: Stint): Candidate | null {
  const { glass, lap, kPerPa, turntableRpm, radiusMm } = settings;
  const profile = turnProfileNm(stint, glass, lap, kPerPa, turntableRpm, radiusMm);
  if (!profile) return null;
  const { settingMm, lengthMm, widthMm, sense, nudge } = stint;
  const shape = nudge ? `nudged ${nudge.byMm}` : widthMm > 0 ? `ellipse ${widthMm}` : 'straight';
  return {
    id: `${lap.id} ${shape} ${lengthMm} at ${settingMm}`,
    lapId: lap.id,
    settingMm,
    lengthMm,
    widthMm,
    sense,
    nudge,
    profileNmPerTurn: profile,
    minutesPerTurn: 1 / turntableRpm,
  };
}

/** Depth of one turn of a stint at each radius, nm; null where the lap cannot stand there. */
export function turnProfileNm(
  stint: Stint,
  glass: Glass,
  lap: Lap,
  kPerPa: number,
  turntableRpm: number,
  radiusMm: Float64Array,
): Float64Array | null {
  const strokes = Math.max(1, Math.round((stint.strokesPerMinute / turntableRpm) * stint.turns));
  const geared: GearedStint = {
    stint,
    turns: stint.turns,
    strokes,
    strokesPerTurn: strokes / stint.turns,
    nudges: stint.nudge ? Math.floor(strokes / stint.nudge.everyStrokes) : 0,
    clockings: 0,
    clockingTurns: 0,
    strokesBefore: 0,
    rateDeviation: 0,
    distinctAzimuths: strokes,
    evenness: 1,
    warnings: [],
  };
  const program: Program = { title: '', file: '', glass, lap, slurry: null, turntableRpm, stints: [stint] };
  try {
    const removal = prepareRemoval({
      path: buildPath([geared], program),
      lap,
      glass,
      kPerPa,
      ringStepMm: MODEL_RING_MM,
      pointStepMm: MODEL_POINT_MM,
    });
    const depth = profileNm(removal);
    return radiusMm.map((r) => interpolated(depth, r / removal.rings.stepMm) / stint.turns);
  } catch (refused) {
    if (refused instanceof RemovalRefused) return null;
    throw refused;
  }
}

function interpolated(values: Float64Array, place: number): number {
  const low = Math.min(Math.floor(place), values.length - 1);
  const high = Math.min(low + 1, values.length - 1);
  return values[low]! + (place - low) * (values[high]! - values[low]!);
}
