/**
 * The strokes of a path, sorted into kinds. Two strokes are of one kind when the lap walks the same way in the stand's frame
 * in the same share of a turn; where round the glass they fall and how the lap lies in them is kept beside. A stint of
 * hundreds of strokes has a handful of kinds (plain, nudged, clocked, both) and a few of its own where patterns blend.
 */
import type { Path, PathStint } from '../path/types';
import type { Lap } from '../shelf/types';

/** A stretch of path that stands for all strokes of its kind. */
export interface StrokeKind {
  from: number;
  to: number;
  free: boolean;
  /** Way of the lap's centre in the stand's frame, mm. */
  wayMm: number;
}

export interface Stroke {
  /** Index into the path's stints. */
  stint: number;
  /** Index into the kinds. */
  kind: number;
  /** Turns walked where it begins and ends. */
  from: number;
  to: number;
  /** Angle of the turntable at its begin, turns. */
  turntableTurns: number;
  /** How the lap lies at its begin, in turns: in the stand's frame at that moment. */
  lapTurns: number;
}

export interface Strokes {
  kinds: StrokeKind[];
  strokes: Stroke[];
}

/** Places within a stroke at which two strokes are compared; unevenly spread so that no symmetry hides a difference. */
const PROBES = [0, 0.071, 0.19, 0.283, 0.377, 0.452, 0.511, 0.587, 0.668, 0.781, 0.887, 0.963, 1];
const SAME_MM = 1e-6;
const SAME_TURNS = 1e-8;

/** Splits a path into its strokes, up to `untilTurns`; the last one may be cut short there. */
export function splitStrokes(path: Path, lap: Lap, untilTurns: number): Strokes {
  const kinds: StrokeKind[] = [];
  const probes: Float64Array[] = [];
  const strokes: Stroke[] = [];
  const buffer = new Float64Array(PROBES.length * 4);
  path.stints.forEach((stint, index) => {
    const free = turnsFreely(lap, stint);
    const { strokes: count, turns } = stint.geared;
    for (let i = 0; i < count; i++) {
      const from = stint.fromTurns + (i / count) * turns;
      if (from >= untilTurns - 1e-12) break;
      const to = Math.min(untilTurns, stint.fromTurns + ((i + 1) / count) * turns);
      const start = probe(path, from, to, buffer);
      let kind = kinds.findIndex((known, k) => isSame(known, probes[k]!, from, to, free, buffer));
      if (kind < 0) {
        kind = kinds.length;
        kinds.push({ from, to, free, wayMm: way(buffer) });
        probes.push(buffer.slice());
      }
      const lapTurns = start.lapTurns + byHandTurns(path, from) + (free ? start.turntableTurns : 0);
      strokes.push({ stint: index, kind, from, to, turntableTurns: start.turntableTurns, lapTurns });
    }
  });
  return { kinds, strokes };
}

/** What persons turned the lap by in its holder until then, turns; the axis, and so the path, knows nothing of it. */
function byHandTurns(path: Path, u: number): number {
  let turned = 0;
  for (const { geared, fromTurns, toTurns } of path.stints) {
    const { clocking } = geared.stint;
    if (clocking.kind !== 'byHand' || fromTurns > u) continue;
    const rests = path.rests.filter((rest) => {
      const here = rest.turns >= fromTurns && rest.turns < toTurns && rest.turns <= u + 1e-9;
      return here && rest.reason === 'hand clocking';
    });
    turned += (rests.length * clocking.byDeg) / 360;
  }
  return turned;
}

/** Whether friction turns the lap in this stint. */
export function turnsFreely(lap: Lap, stint: PathStint): boolean {
  return lap.rotation === 'free' || stint.geared.stint.clocking.kind === 'free';
}

/** Fills the buffer with places relative to the begin; returns the angles there. */
function probe(
  path: Path,
  from: number,
  to: number,
  buffer: Float64Array,
): { turntableTurns: number; lapTurns: number } {
  const place = new Float64Array(4);
  path.sample(from, place);
  const start = { turntableTurns: place[0]!, lapTurns: place[3]! };
  PROBES.forEach((share, k) => {
    // A hair inside, so that a stint's border gives this stint's place.
    path.sample(from + (to - from) * Math.min(1 - 1e-9, share), place);
    buffer[4 * k] = place[0]! - start.turntableTurns;
    buffer[4 * k + 1] = place[1]!;
    buffer[4 * k + 2] = place[2]!;
    buffer[4 * k + 3] = place[3]! - start.lapTurns;
  });
  return start;
}

function isSame(
  known: StrokeKind,
  places: Float64Array,
  from: number,
  to: number,
  free: boolean,
  now: Float64Array,
): boolean {
  if (known.free !== free || Math.abs(known.to - known.from - (to - from)) > SAME_TURNS) return false;
  for (let i = 0; i < now.length; i++) {
    const near = i % 4 === 1 || i % 4 === 2 ? SAME_MM : SAME_TURNS;
    if (Math.abs(now[i]! - places[i]!) > near) return false;
  }
  return true;
}

function way(places: Float64Array): number {
  let total = 0;
  for (let k = 1; k < PROBES.length; k++) {
    total += Math.hypot(places[4 * k + 1]! - places[4 * k - 3]!, places[4 * k + 2]! - places[4 * k - 2]!);
  }
  return total;
}
