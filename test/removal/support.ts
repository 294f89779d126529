/** Paths written straight from the formulas of a stroke, apart from the planner's own path, to test the forecast against. */
import type { GearedStint } from '../../planner/gearing/types';
import type { Path } from '../../planner/path/types';
import type { Stint } from '../../planner/program/types';
import { ContactSolver } from '../../planner/removal/contact';
import type { GlassRing } from '../../planner/removal/contact-region';
import { lapFace } from '../../planner/removal/face';
import { addProfile } from '../../planner/removal/profile';
import { type WorkPoint, workPoints } from '../../planner/removal/work-points';
import type { Glass, Lap } from '../../planner/shelf/types';

export const FLAT_GLASS: Glass = {
  id: 'test',
  title: 'test glass',
  diameterMm: 400,
  clearApertureMm: 400,
  bevelMm: 0,
  holeMm: 0,
  radiusOfCurvatureMm: 4000,
  conicConstant: -1,
  material: 'borosilicate',
  thicknessMm: 40,
};

export function roundLap(radiusMm: number, more: Partial<Lap> = {}): Lap {
  return {
    id: 'test',
    title: 'test lap',
    outline: { shape: 'round', diameterMm: 2 * radiusMm },
    facets: null,
    load: { addedN: 10, lapWeightN: 0, armWeightN: 0 },
    pivotHeightMm: 0,
    friction: 0.3,
    rotation: 'driven',
    ...more,
  };
}

export function starLap(radiusMm: number, points: number, depthMm: number, more: Partial<Lap> = {}): Lap {
  return roundLap(radiusMm, { outline: { shape: 'star', diameterMm: 2 * radiusMm, points, depthMm }, ...more });
}

export interface FormulaStroke {
  turns: number;
  strokes: number;
  settingMm: number;
  lengthMm: number;
  /** Signed: y = s + (width/2) sin psi. */
  widthMm?: number;
  nudge?: { everyStrokes: number; byMm: number };
  /** Lap turns per turn of the turntable, in the stand's frame. */
  lapTurnsPerTurn?: number;
  /** Lap's angle in stroke i, turns; jumps between strokes where nothing else turns it. */
  lapTurnsOfStroke?: (stroke: number) => number;
}

/** Depth by radius of a path, per newton and per unit of removal coefficient: (1/mm2) x mm. */
export function unitProfile(
  path: Path,
  lap: Lap,
  more: { glass?: GlassRing; stepMm?: number; count?: number; free?: boolean; rimMm?: number } = {},
): { at: (radiusMm: number) => number; values: Float64Array; stepMm: number; points: WorkPoint[] } {
  const { glass = { rimMm: 1e9, holeMm: 0 }, stepMm = 0.5, count = 512, free = false, rimMm = 200 } = more;
  const face = lapFace(lap);
  const settings = { face, glass, frictionHeightMm: lap.friction * lap.pivotHeightMm, law: 'balanced' as const };
  const points = workPoints(path, { from: 0, to: path.turns, count, free }, new ContactSolver(settings));
  if (!Array.isArray(points)) throw new Error(`the lap tips at ${points.tipsAtMm}`);
  const rings = { stepMm, count: Math.floor(rimMm / stepMm + 1e-9) + 1 };
  const values = new Float64Array(rings.count);
  addProfile(points, face, rings, values);
  const at = (radiusMm: number): number => {
    const j = Math.round(radiusMm / stepMm);
    if (Math.abs(j * stepMm - radiusMm) > 1e-9) throw new Error(`no ring at ${radiusMm}`);
    return values[j]!;
  };
  return { at, values, stepMm, points };
}

/** Volume of a unit profile, mm: for Preston's law the lap's mean path over the glass. */
export function volumeOf({ values, stepMm }: { values: Float64Array; stepMm: number }): number {
  let total = 0;
  values.forEach((value, j) => {
    total += 2 * Math.PI * j * stepMm * stepMm * value;
  });
  return total;
}

/** Any way of the lap: place and rates by turns, straight from formulas. Turns walked are only a parameter here. */
export function freePath(
  turns: number,
  place: (u: number) => [turntable: number, x: number, y: number, lap: number],
  rates: (u: number) => [turntable: number, x: number, y: number, lap: number],
): Path {
  const base = formulaPath({ turns: 1, strokes: 1, settingMm: 0, lengthMm: 0 });
  const [stint] = base.stints;
  return {
    turns,
    stints: [{ ...stint!, toTurns: turns, geared: { ...stint!.geared, turns } }],
    rests: [],
    at(u) {
      const [turntableTurns, xMm, yMm, lapTurns] = place(u);
      return { turntableTurns, xMm, yMm, lapTurns };
    },
    sample: (u, out) => out.set(place(u)),
    derivatives: (u, out) => out.set(rates(u)),
  };
}

/** One stint without any blend. */
export function formulaPath(stroke: FormulaStroke): Path {
  const { turns, strokes, settingMm, lengthMm, widthMm = 0, nudge, lapTurnsPerTurn = 0, lapTurnsOfStroke } = stroke;
  const rate = (2 * Math.PI * strokes) / turns;
  const values = (u: number, out: Float64Array, order: 0 | 1): void => {
    const psi = rate * u;
    const index = Math.min(strokes - 1, Math.floor((u / turns) * strokes + 1e-9));
    const nudged = nudge !== undefined && (index + 1) % nudge.everyStrokes === 0;
    const half = Math.sin(psi / 2);
    if (order === 0) {
      out[0] = u;
      out[1] = -(lengthMm / 2) * Math.cos(psi);
      out[2] = settingMm + (widthMm / 2) * Math.sin(psi) - (nudged ? nudge.byMm * half ** 4 : 0);
      out[3] = lapTurnsPerTurn * u + (lapTurnsOfStroke ? lapTurnsOfStroke(index) : 0);
    } else {
      out[0] = 1;
      out[1] = (lengthMm / 2) * rate * Math.sin(psi);
      out[2] = rate * ((widthMm / 2) * Math.cos(psi) - (nudged ? nudge.byMm * 2 * half ** 3 * Math.cos(psi / 2) : 0));
      out[3] = lapTurnsPerTurn;
    }
  };
  const geared: GearedStint = {
    stint: stintOf(stroke),
    turns,
    strokes,
    strokesPerTurn: strokes / turns,
    nudges: nudge ? Math.floor(strokes / nudge.everyStrokes) : 0,
    clockings: 0,
    clockingTurns: 0,
    strokesBefore: 0,
    rateDeviation: 0,
    distinctAzimuths: strokes,
    evenness: 1,
    warnings: [],
  };
  return {
    turns,
    stints: [{ geared, fromTurns: 0, toTurns: turns, blendStrokes: 0 }],
    rests: [],
    at(u) {
      const out = new Float64Array(4);
      values(u, out, 0);
      return { turntableTurns: out[0]!, xMm: out[1]!, yMm: out[2]!, lapTurns: out[3]! };
    },
    sample: (u, out) => values(u, out, 0),
    derivatives: (u, out) => values(u, out, 1),
  };
}

function stintOf(stroke: FormulaStroke): Stint {
  const { turns, settingMm, lengthMm, widthMm = 0, nudge } = stroke;
  return {
    turns,
    shape: widthMm === 0 ? 'straight' : 'ellipse',
    settingMm,
    lengthMm,
    widthMm: Math.abs(widthMm),
    sense: widthMm > 0 ? -1 : 1,
    strokesPerMinute: 40,
    rateTolerance: 0.1,
    nudge: nudge ?? null,
    clocking: { kind: 'none' },
    line: 1,
    group: 0,
  };
}
