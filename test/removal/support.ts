/** Paths written straight from the formulas of a stroke, apart from the planner's own path, to test the forecast against. */
import type { GearedStint } from '../../planner/gearing/types';
import type { Path } from '../../planner/path/types';
import type { Stint } from '../../planner/program/types';
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
