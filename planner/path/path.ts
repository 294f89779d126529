/**
 * Builds the path of a program from its geared stints: borders, blends, planned rests.
 *
 * At a border the stroke stands at its near end (psi = 0). Where the pattern changes without a rest, rate, setting, length, width and
 * steady lap rotation blend over the first stroke; over 2, 3, ... strokes where an axis could not follow otherwise. Where that does
 * not do either, or the stroke would have to run backwards for a moment, a rest is planned at the index: after it the rates start
 * anew, and only setting and length blend, for the lap cannot jump.
 *
 * A hand clocking turns the lap in its holder: the lapTurn axis stands still for it, and the path's lap angle is that of the axis.
 */
import type { GearedStint } from '../gearing/types';
import type { Program } from '../program/types';
import type { Stand } from '../stand/types';
import { type AxisPeak, emptyPeaks, maxPaceRate, PLACE_AXES, STEPS_PER_STROKE, takePeaks } from './peaks';
import { RATE_BLEND_MIN_SLOPE } from './smooth';
import type { Path, PathStint, PlannedRest } from './types';
import { COLUMN, ROW, Walk } from './walk';

/** Blends that are tried, in strokes. */
const BLEND_STROKES = [1, 2, 3, 4, 6, 8, 12, 16];
/** Peaks are found between samples, a little lower in one stroke than in another that does the same. */
const SAMPLING_ROOM = 1.001;
/** The stroke must not run slower than this share of its new rate while the rate blends. */
const LEAST_RATE_SHARE = 0.25;

/**
 * @param geared all stints of the program, in order
 * @param stand whose limits decide how long a blend must be; without it every change blends over one stroke
 */
export function buildPath(geared: readonly GearedStint[], program: Program, stand?: Stand): Path {
  const table = new Float64Array(geared.length * ROW);
  const stints: PathStint[] = [];
  const rests: PlannedRest[] = [];
  const blends = stand ? new BlendChooser(stand, program.turntableRpm / 60) : null;
  let turns = 0;
  let lap = 0;
  geared.forEach((g, index) => {
    const row = patternRow(g, turns, lap);
    const before = table.subarray((index - 1) * ROW, index * ROW);
    let blendStrokes = 0;
    if (index > 0) {
      const handRest = g.stint.clocking.kind === 'byHand';
      let choice = blendAfter(before, row, handRest, blends);
      if (!choice.fits && !handRest) {
        rests.push({ turns, reason: 'pattern change', words: patternChangeWords(before, row, g) });
        choice = blendAfter(before, row, true, blends);
      }
      blendStrokes = choice.strokes;
    }
    rests.push(...handRests(g, turns));
    table.set(row, index * ROW);
    stints.push({ geared: g, fromTurns: turns, toTurns: turns + g.turns, blendStrokes });
    turns += g.turns;
    lap += lapTurnsOf(g);
  });
  return new Walk(table, stints, rests);
}

/** Turns of the lapTurn axis over one stint. */
function lapTurnsOf(g: GearedStint): number {
  return g.stint.clocking.kind === 'steady' ? g.clockingTurns * g.turns : g.clockingTurns * g.clockings;
}

/** The stint's own pattern, without any blend. */
function patternRow(g: GearedStint, from: number, lap: number): Float64Array {
  const { stint } = g;
  const row = new Float64Array(ROW);
  row[COLUMN.FROM] = from;
  row[COLUMN.TO] = from + g.turns;
  row[COLUMN.TURNS] = g.turns;
  row[COLUMN.STROKES] = g.strokes;
  row[COLUMN.SETTING] = stint.settingMm;
  row[COLUMN.LENGTH] = stint.lengthMm;
  row[COLUMN.WIDTH] = stint.shape === 'ellipse' ? -stint.sense * stint.widthMm : 0;
  if (stint.nudge) {
    row[COLUMN.NUDGE] = stint.nudge.byMm;
    row[COLUMN.NUDGE_EVERY] = stint.nudge.everyStrokes;
    row[COLUMN.NUDGE_COUNTED] = g.strokesBefore % stint.nudge.everyStrokes;
  }
  row[COLUMN.LAP] = lap;
  if (stint.clocking.kind === 'steps' && g.clockingTurns !== 0) {
    row[COLUMN.CLOCK] = g.clockingTurns;
    row[COLUMN.CLOCK_EVERY] = stint.clocking.everyStrokes;
    row[COLUMN.CLOCK_COUNTED] = g.strokesBefore % stint.clocking.everyStrokes;
    row[COLUMN.CLOCK_SHARE] = Math.min(1, stint.clocking.share);
  }
  if (stint.clocking.kind === 'steady') row[COLUMN.STEADY] = g.clockingTurns;
  return row;
}

const CHANGES: readonly (readonly [of: number, before: number, throughRest: boolean])[] = [
  [COLUMN.SETTING, COLUMN.SETTING_BEFORE, true],
  [COLUMN.LENGTH, COLUMN.LENGTH_BEFORE, true],
  [COLUMN.WIDTH, COLUMN.WIDTH_BEFORE, false],
  [COLUMN.STEADY, COLUMN.STEADY_BEFORE, false],
];

/** Writes into `row` the shortest blend from `before` that the axes can follow (the longest tried, if none does). */
function blendAfter(
  before: Float64Array,
  row: Float64Array,
  fromRest: boolean,
  blends: BlendChooser | null,
): { strokes: number; fits: boolean } {
  const rate = ratePerTurn(row);
  row[COLUMN.RATE_BEFORE] = fromRest ? 0 : ratePerTurn(before) - rate;
  let changed = row[COLUMN.RATE_BEFORE] !== 0;
  for (const [of, difference, throughRest] of CHANGES) {
    row[difference] = fromRest && !throughRest ? 0 : (before[of] as number) - (row[of] as number);
    changed ||= row[difference] !== 0;
  }
  row[COLUMN.BLEND] = 0;
  if (!changed) return { strokes: 0, fits: true };
  const leastRate = 1 + (RATE_BLEND_MIN_SLOPE * (row[COLUMN.RATE_BEFORE] as number)) / rate;
  const forwards = leastRate >= LEAST_RATE_SHARE;
  let strokes = 1;
  for (const tried of BLEND_STROKES) {
    if (tried > (row[COLUMN.STROKES] as number)) break;
    strokes = tried;
    row[COLUMN.BLEND] = tried / rate;
    if (!forwards) break;
    if (!blends || blends.fits(before, row, tried)) return { strokes, fits: true };
  }
  return { strokes, fits: false };
}

function ratePerTurn(row: Float64Array): number {
  return (row[COLUMN.STROKES] as number) / (row[COLUMN.TURNS] as number);
}

/** Judges blends against the stand's limits; equal changes are judged once. */
class BlendChooser {
  private readonly known = new Map<string, boolean>();

  constructor(
    private readonly stand: Stand,
    private readonly turnsPerSecond: number,
  ) {}

  /** Whether every axis can follow the blend, or at least finds it no harder than the patterns on either side. */
  fits(before: Float64Array, row: Float64Array, strokes: number): boolean {
    const key = `${patternKey(before)} ${patternKey(row)}`;
    const known = this.known.get(key);
    if (known !== undefined) return known;
    const blended = this.peaks(row, row[COLUMN.BLEND] as number, strokes);
    const sides = [before, row].map((side) => this.peaks(oneStroke(side), 1 / ratePerTurn(side), 1));
    const fits = PLACE_AXES.every((name, axis) => {
      const limits = this.stand.axes[name];
      const of = (peaks: AxisPeak[]): AxisPeak => peaks[axis] as AxisPeak;
      const speed = Math.max(limits.maxSpeed, ...sides.map((side) => of(side).speed * SAMPLING_ROOM));
      const acceleration = Math.max(
        limits.maxAcceleration,
        ...sides.map((side) => of(side).acceleration * SAMPLING_ROOM),
      );
      return of(blended).speed <= speed && of(blended).acceleration <= acceleration;
    });
    this.known.set(key, fits);
    return fits;
  }

  private peaks(row: Float64Array, turns: number, strokes: number): AxisPeak[] {
    const alone = Float64Array.from(row);
    alone[COLUMN.FROM] = 0;
    alone[COLUMN.TO] = row[COLUMN.TURNS] as number;
    const peaks = emptyPeaks(this.stand);
    const steps = strokes * STEPS_PER_STROKE;
    takePeaks(new Walk(alone, [], []), 0, turns, steps, this.turnsPerSecond, maxPaceRate(this.stand), peaks);
    return peaks;
  }
}

/** What tells two patterns (with their blends) apart: all but where they stand on the path. */
function patternKey(row: Float64Array): string {
  return `${row.subarray(COLUMN.TURNS, COLUMN.LAP).join()},${row.subarray(COLUMN.STEADY).join()}`;
}

/** One stroke of a pattern on its own, with a nudge and a clocking in it if the pattern has them. */
function oneStroke(row: Float64Array): Float64Array {
  const one = Float64Array.from(row);
  one[COLUMN.TURNS] = 1 / ratePerTurn(row);
  one[COLUMN.STROKES] = 1;
  one[COLUMN.BLEND] = 0;
  one[COLUMN.NUDGE_COUNTED] = Math.max(0, (row[COLUMN.NUDGE_EVERY] as number) - 1);
  one[COLUMN.CLOCK_COUNTED] = Math.max(0, (row[COLUMN.CLOCK_EVERY] as number) - 1);
  return one;
}

/** The hand clockings of a stint: when it begins (unless the program does) and every so many turns after. */
function handRests({ stint, turns }: GearedStint, from: number): PlannedRest[] {
  if (stint.clocking.kind !== 'byHand') return [];
  const { everyTurns, byDeg } = stint.clocking;
  const rests: PlannedRest[] = [];
  for (let v = from === 0 ? everyTurns : 0; v < turns; v += everyTurns) {
    rests.push({
      turns: from + v,
      reason: 'hand clocking',
      words: `Turn the lap by ${byDeg} deg in its holder`,
    });
  }
  return rests;
}

function patternChangeWords(before: Float64Array, row: Float64Array, g: GearedStint): string {
  const figures = (r: Float64Array): string =>
    `${(r[COLUMN.LENGTH] as number).toFixed(1)} mm at ${(r[COLUMN.SETTING] as number).toFixed(1)} mm, ${ratePerTurn(r).toFixed(1)} strokes a turn`;
  return (
    `The pattern changes from ${figures(before)} to ${figures(row)} (line ${g.stint.line}): ` +
    'too much to blend while stroking, so the stand rests at the index'
  );
}
