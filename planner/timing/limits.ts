/**
 * The limit check: what each axis would have to do on the whole path at the planned speed, against what it can.
 *
 * Speed, travel, and |a_path| u'^2 + |v_path| u'' + |v| maxPaceRate <= maxAcceleration, where the last term is reserved for the
 * chip's own easing (see `takePeaks`). A stint repeats itself after its blend, so one stroke of each kind (plain, nudged, clocked, both)
 * stands for all; blends and the stretches where the walk starts and ends are looked at stroke by stroke. Equal stints are looked at once.
 */

import type { GearedStint } from '../gearing/types';
import {
  type AxisPeak,
  emptyPeaks,
  maxPaceRate,
  PLACE_AXES,
  STEPS_PER_STROKE,
  takePeak,
  takePeaks,
} from '../path/peaks';
import type { Path, PathStint } from '../path/types';
import type { Program } from '../program/types';
import type { Stand } from '../stand/types';
import type { RestToRest } from './law';
import type { LimitComplaint } from './types';

/** Rounding allowed on a limit, relative. */
const SLACK = 1e-9;

/** One complaint for each axis, limit and line that is broken, where the need is largest. */
export function checkLimits(path: Path, program: Program, stand: Stand, law: RestToRest): LimitComplaint[] {
  const complaints = new Map<string, LimitComplaint>();
  const known = new Set<string>();
  const paceRate = maxPaceRate(stand);
  const cruise = law.cruiseTurnsPerSecond;
  const judge = (part: PathStint, peaks: AxisPeak[]): void => {
    PLACE_AXES.forEach((name, axis) => {
      for (const complaint of broken(name, peaks[axis] as AxisPeak, part, program, stand)) {
        const key = `${complaint.axis} ${complaint.what} ${complaint.line}`;
        const worse = complaints.get(key);
        if (!worse || excess(complaint) > excess(worse)) complaints.set(key, complaint);
      }
    });
  };
  path.stints.forEach((part, index) => {
    if (part.toTurns <= law.fromTurns) return;
    const key = stintKey(path.stints[index - 1], part);
    if (known.has(key)) return;
    known.add(key);
    const peaks = emptyPeaks();
    for (const [from, to] of pieces(part)) {
      takePeaks(path, from, to, STEPS_PER_STROKE, cruise, paceRate, peaks);
    }
    judge(part, peaks);
  });
  for (const { fromSeconds, toSeconds } of law.ramps()) {
    const part = stintAt(path, law.turnsAt(fromSeconds));
    const strokes = (law.turnsAt(toSeconds) - law.turnsAt(fromSeconds)) * part.geared.strokesPerTurn;
    const steps = STEPS_PER_STROKE * Math.ceil(strokes);
    const peaks = emptyPeaks();
    for (let i = 0; i <= steps; i++) {
      const seconds = fromSeconds + ((toSeconds - fromSeconds) * i) / steps;
      takePeak(path, law.turnsAt(seconds), law.speedAt(seconds), law.speedRateAt(seconds), paceRate, peaks);
    }
    judge(part, peaks);
  }
  return [...complaints.values()].sort((a, b) => a.turns - b.turns);
}

function stintAt(path: Path, turns: number): PathStint {
  return path.stints.find(({ toTurns }) => toTurns > turns) as PathStint;
}

/** Strokes that stand for the whole stint: those of the blend, then the first of each kind after it. */
function pieces(part: PathStint): [from: number, to: number][] {
  const { geared, fromTurns, toTurns } = part;
  const { strokes, strokesBefore, stint } = geared;
  const stroke = (i: number): number => Math.min(toTurns, fromTurns + (i * geared.turns) / strokes);
  const list: [number, number][] = [];
  const n = stint.nudge?.everyStrokes ?? 0;
  const m = stint.clocking.kind === 'steps' ? stint.clocking.everyStrokes : 0;
  const kinds = new Set<string>();
  const wanted = (n > 0 ? 2 : 1) * (m > 0 ? 2 : 1);
  for (let i = 0; i < strokes && (i < part.blendStrokes || kinds.size < wanted); i++) {
    const count = strokesBefore + i + 1;
    const kind = `${n > 0 && count % n === 0} ${m > 0 && count % m === 0}`;
    if (i >= part.blendStrokes) {
      if (kinds.has(kind)) continue;
      kinds.add(kind);
    }
    list.push([stroke(i), stroke(i + 1)]);
  }
  return list;
}

/** Stints with equal keys ask the same of the axes. */
function stintKey(before: PathStint | undefined, part: PathStint): string {
  const pattern = ({ geared: g }: PathStint): unknown[] => [
    g.turns,
    g.strokes,
    g.clockingTurns,
    g.stint.shape,
    g.stint.settingMm,
    g.stint.lengthMm,
    g.stint.widthMm,
    g.stint.sense,
    g.stint.nudge,
    g.stint.clocking,
  ];
  const n = part.geared.stint.nudge?.everyStrokes ?? 1;
  const m = part.geared.stint.clocking.kind === 'steps' ? part.geared.stint.clocking.everyStrokes : 1;
  const counted = [part.geared.strokesBefore % n, part.geared.strokesBefore % m];
  return JSON.stringify([
    pattern(part),
    counted,
    part.blendStrokes,
    part.blendStrokes > 0 && before ? pattern(before) : 0,
  ]);
}

function excess({ needed, allowed }: LimitComplaint): number {
  return Math.abs(needed - allowed);
}

function broken(
  name: (typeof PLACE_AXES)[number],
  peak: AxisPeak,
  { geared }: PathStint,
  program: Program,
  stand: Stand,
): LimitComplaint[] {
  const axis = stand.axes[name];
  const found: LimitComplaint[] = [];
  const { line } = geared.stint;
  const add = (
    what: LimitComplaint['what'],
    needed: number,
    allowed: number,
    turns: number,
    factor: number | null,
  ): void => {
    const unit = axis.unit + (what === 'speed' ? '/s' : what === 'acceleration' ? '/s2' : '');
    const fits = factor === null ? null : slower(name, geared, factor, program);
    found.push({
      axis: name,
      what,
      needed,
      allowed,
      unit,
      line,
      turns,
      fits,
      message: words(name, what, needed, allowed, unit, turns, fits),
    });
  };
  if (peak.speed > axis.maxSpeed * (1 + SLACK)) {
    add('speed', peak.speed, axis.maxSpeed, peak.speedAt, axis.maxSpeed / peak.speed);
  }
  if (peak.acceleration > axis.maxAcceleration * (1 + SLACK)) {
    add(
      'acceleration',
      peak.acceleration,
      axis.maxAcceleration,
      peak.accelerationAt,
      axis.maxAcceleration / peak.acceleration,
    );
  }
  if (axis.min !== undefined && peak.min < axis.min - SLACK) add('travel', peak.min, axis.min, peak.minAt, null);
  if (axis.max !== undefined && peak.max > axis.max + SLACK) add('travel', peak.max, axis.max, peak.maxAt, null);
  return found;
}

/**
 * A rate that surely fits: a part f of the speed leaves f of every speed and at most f of every acceleration (f^2 of what belongs to the
 * path, f of what belongs to ramps). The turntable and a steadily turning lap follow the turntable's speed, all else the stroke rate.
 */
function slower(
  name: (typeof PLACE_AXES)[number],
  geared: GearedStint,
  factor: number,
  program: Program,
): LimitComplaint['fits'] {
  const down = (value: number): number => Math.floor(value * factor * 100) / 100;
  return name === 'turntable' || (name === 'lapTurn' && geared.stint.clocking.kind === 'steady')
    ? { turntableRpm: down(program.turntableRpm) }
    : { strokesPerMinute: down(geared.strokesPerTurn * program.turntableRpm) };
}

const AXIS_WORDS = {
  turntable: 'turntable',
  stroke: 'stroke slide',
  radial: 'radial slide',
  lapTurn: 'lap rotation',
} as const;

function words(
  name: (typeof PLACE_AXES)[number],
  what: LimitComplaint['what'],
  needed: number,
  allowed: number,
  unit: string,
  turns: number,
  fits: LimitComplaint['fits'],
): string {
  const where = `at turn ${turns.toFixed(2)}`;
  const figures = `${needed.toPrecision(4)} ${unit}, the stand allows ${allowed} ${unit}`;
  if (what === 'travel') {
    return `The ${AXIS_WORDS[name]} would have to go to ${figures} (${where}): change setting, stroke length, width or nudge.`;
  }
  const rate =
    fits === null
      ? ''
      : 'turntableRpm' in fits
        ? ` A turntable speed of ${fits.turntableRpm} rpm fits.`
        : ` A rate of ${fits.strokesPerMinute} strokes a minute fits.`;
  return `The ${AXIS_WORDS[name]} would need ${what === 'speed' ? 'a speed' : 'an acceleration'} of ${figures} (${where}).${rate}`;
}
