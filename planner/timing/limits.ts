/**
 * The limit check: what each axis would have to do on the whole path at the planned speed, against what it can.
 *
 * Speed, travel, and |a_path| u'^2 + |v_path| u'' + |v| maxPaceRate <= maxAcceleration, where the last term is reserved for the
 * chip's own easing (see `takePeaks`). A stint repeats itself after its blend, so one stroke of each kind (plain, nudged, clocked, both)
 * stands for all; blends and the stretches where the walk starts and ends are looked at stroke by stroke. Equal stints are looked at once.
 */

import { periodStrokes } from '../gearing/pattern';
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
import { type BrokenLimit, brokenLimits, limitComplaint, slowest } from './complaints';
import type { RestToRest } from './law';
import type { LimitComplaint } from './types';

/**
 * One complaint for each axis, limit and line that is broken, where the need is largest. What would fit is the same in all
 * complaints of a line, so that whoever follows one is not met by the next.
 */
export function checkLimits(path: Path, program: Program, stand: Stand, law: RestToRest): LimitComplaint[] {
  const broken = new Map<string, BrokenLimit>();
  const known = new Set<string>();
  const paceRate = maxPaceRate(stand);
  const cruise = law.cruiseTurnsPerSecond;
  const judge = (part: PathStint, peaks: AxisPeak[]): void => {
    PLACE_AXES.forEach((name, axis) => {
      for (const found of brokenLimits(name, peaks[axis] as AxisPeak, part, program, stand)) {
        const key = `${found.axis} ${found.what} ${found.line}`;
        const before = broken.get(key);
        const worse = before && excess(before) >= excess(found) ? before : found;
        broken.set(key, before ? { ...worse, fits: slowest(found.fits, before.fits) } : found);
      }
    });
  };
  path.stints.forEach((part, index) => {
    if (part.toTurns <= law.fromTurns || part.fromTurns >= law.toTurns) return;
    const key = stintKey(path.stints[index - 1], part);
    if (known.has(key)) return;
    known.add(key);
    const peaks = emptyPeaks(stand);
    for (const [from, to] of pieces(part)) {
      takePeaks(path, from, to, STEPS_PER_STROKE, cruise, paceRate, peaks);
    }
    judge(part, peaks);
  });
  let index = 0;
  for (const { fromSeconds, toSeconds } of law.ramps()) {
    while (index < path.stints.length - 1 && (path.stints[index] as PathStint).toTurns <= law.turnsAt(fromSeconds))
      index++;
    const part = path.stints[index] as PathStint;
    const strokes = (law.turnsAt(toSeconds) - law.turnsAt(fromSeconds)) * part.geared.strokesPerTurn;
    const steps = STEPS_PER_STROKE * Math.ceil(strokes);
    const peaks = emptyPeaks(stand);
    for (let i = 0; i <= steps; i++) {
      const seconds = fromSeconds + ((toSeconds - fromSeconds) * i) / steps;
      takePeak(path, law.turnsAt(seconds), law.speedAt(seconds), law.speedRateAt(seconds), paceRate, peaks);
    }
    judge(part, peaks);
  }
  const all = [...broken.values()].sort((a, b) => a.turns - b.turns);
  return all.map((one) => limitComplaint({ ...one, fits: slowestOf(one, all) }, stand));
}

/** A stroke rate belongs to its line, the turntable's speed to the whole program. */
function slowestOf(one: BrokenLimit, all: readonly BrokenLimit[]): BrokenLimit['fits'] {
  let fits = one.fits;
  const forAll = fits !== null && 'turntableRpm' in fits;
  for (const other of all) if (forAll || other.line === one.line) fits = slowest(fits, other.fits);
  return fits;
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
  for (let i = 0; i < Math.min(strokes, part.blendStrokes + periodStrokes(n, m)); i++) {
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

function excess({ needed, allowed }: BrokenLimit): number {
  return Math.abs(needed - allowed);
}
