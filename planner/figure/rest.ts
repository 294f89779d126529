/** Has the glass come to rest since it was worked? Warm glass is bulged, and what is measured then is not its figure. */

import { meanOfTakes } from './takes';
import type { KnifeEdgeMeasurement } from './types';

export interface RestState {
  /** Hours since the last stroke; null: not noted. */
  hoursSinceWork: number | null;
  glassC: number | null;
  roomC: number | null;
  thicknessMm: number;
}

/** Readings of one pass over the mask, with the time they were taken at. */
export interface TimedTake {
  /** Minutes on any clock that does not jump. */
  atMinutes: number;
  readingMm: readonly number[];
  /** Standard deviation of each reading, mm. */
  sigmaMm: readonly number[];
}

export interface RestVerdict {
  state: 'settled' | 'wait' | 'read again';
  words: string;
  /** Suggested wait where there is one, minutes. */
  waitMinutes: number | null;
}

/** Glass and room may differ by this much, degrees. Common practice, no source. */
const EVEN_C = 0.3;
/**
 * Time for a plate, cooled on both faces, to lose 95 % of its inner unevenness: 3 t^2 / (pi^2 a), a = 0.6 mm^2/s for
 * borosilicate glass (diffusivity of common tables, recalled). 40 mm: 13 minutes; the air film makes it many times longer.
 */
const DIFFUSIVITY_MM2_S = 0.6;
const AIR_FILM_TIMES = 12;

function restMinutes(thicknessMm: number): number {
  return (AIR_FILM_TIMES * 3 * thicknessMm ** 2) / (Math.PI ** 2 * DIFFUSIVITY_MM2_S) / 60;
}

/**
 * Whether a measurement may be trusted. Temperatures and hours can only say "wait"; that the glass is settled is shown by two
 * takes that agree: the shape of their difference (a common shift is focus) stays within what the noise explains.
 */
export function restOf(state: RestState, takes: readonly TimedTake[]): RestVerdict {
  const { glassC, roomC } = state;
  if (glassC !== null && roomC !== null && Math.abs(glassC - roomC) > EVEN_C) {
    const apart = Math.abs(glassC - roomC).toFixed(1);
    const waitMinutes = Math.ceil(restMinutes(state.thicknessMm) / 3);
    const side = glassC > roomC ? 'warmer' : 'colder';
    const words = `Wait: the glass is ${apart} degrees ${side} than the room. Look again in ${inWords(waitMinutes)}.`;
    return { state: 'wait', words, waitMinutes };
  }
  const needed = Math.ceil(restMinutes(state.thicknessMm));
  if (state.hoursSinceWork !== null && state.hoursSinceWork * 60 < needed) {
    const waitMinutes = Math.ceil(needed - state.hoursSinceWork * 60);
    const words = `Wait: a glass ${state.thicknessMm.toFixed(0)} mm thick wants about ${inWords(needed)} after work. ${inWords(waitMinutes)} to go.`;
    return { state: 'wait', words, waitMinutes };
  }
  return drift(takes);
}

/** The same for a knife-edge measurement whose takes note their time; takes of the same diameter are compared. */
export function restOfMeasurement(measurement: KnifeEdgeMeasurement): RestVerdict {
  // What one take is worth by itself: the scatter of all would hide the drift in the noise.
  const { sigmaMm } = meanOfTakes({ ...measurement, takes: measurement.takes.slice(0, 1) });
  const first = measurement.takes[0]?.diameterDeg;
  const takes = measurement.takes
    .filter((take) => take.atMinutes !== null && take.diameterDeg === first)
    .map((take) => ({
      atMinutes: take.atMinutes!,
      readingMm: take.readingMm,
      sigmaMm: Array.from(sigmaMm),
    }));
  return restOf({ ...measurement.rest, thicknessMm: measurement.glass.thicknessMm }, takes);
}

function drift(takes: readonly TimedTake[]): RestVerdict {
  const sorted = [...takes].sort((a, b) => a.atMinutes - b.atMinutes);
  const now = sorted[sorted.length - 1];
  const before = sorted.findLast((take) => now !== undefined && now.atMinutes - take.atMinutes >= 5);
  if (!now || !before) {
    const words =
      'Read the zones once more, five minutes or longer after the first pass: two passes that agree show that the glass is at rest.';
    return { state: 'read again', words, waitMinutes: now ? 5 : null };
  }
  const change = now.readingMm.map((reading, i) => reading - before.readingMm[i]!);
  const variance = now.sigmaMm.map((sigma, i) => sigma ** 2 + before.sigmaMm[i]! ** 2);
  const whole = variance.reduce((sum, v) => sum + 1 / v, 0);
  const shift = change.reduce((sum, d, i) => sum + d / variance[i]!, 0) / whole;
  const misfit = change.reduce((sum, d, i) => sum + (d - shift) ** 2 / variance[i]!, 0);
  const freedom = change.length - 1;
  const minutes = Math.round(now.atMinutes - before.atMinutes);
  // Mean plus two deviations of chi-square: one honest pair in twenty or so is asked to be read again.
  if (misfit <= freedom + 2 * Math.sqrt(2 * freedom)) {
    const words = `At rest: the readings of ${minutes} minutes ago came back within their noise.`;
    return { state: 'settled', words, waitMinutes: null };
  }
  const most = change.reduce((worst, d) => Math.max(worst, Math.abs(d - shift)), 0);
  const words = `Still drifting: in ${minutes} minutes the zones moved against one another by up to ${most.toFixed(2)} mm. Wait ${inWords(Math.max(15, minutes))} and read again.`;
  return { state: 'wait', words, waitMinutes: Math.max(15, minutes) };
}

function inWords(minutes: number): string {
  if (minutes < 90) return `${minutes} minutes`;
  return `${(minutes / 60).toFixed(1)} hours`;
}
