/** Candidates by number theory: whole strokes near the wanted rate, whole lap turns near the asked angle; nearest first. */
import { gcd, periodStrokes } from './pattern';

/** What is to be geared: all occurrences of one line of the program. */
export interface Ask {
  turnsEach: number;
  occurrences: number;
  /** Wanted double strokes per turn of the turntable. */
  strokesPerTurn: number;
  rateTolerance: number;
  nudgeEvery: number;
  /** How gearing turns the lap: in steps of about `turns` on every m-th stroke, steadily at about `turns` a turn, or not. */
  lap: { kind: 'steps'; every: number; turns: number } | { kind: 'steady'; turns: number } | { kind: 'held' };
}

/** How far the clocking angle or steady ratio may be from the asked one, relative; the two nearest are always looked at. */
export const ANGLE_TOLERANCE = 0.25;
/** Periods longer than this many strokes make every sum long: fewer candidates are looked at. */
export const LONG_PERIOD = 400;
const FEW = 6;
/** Stroke counts looked at for one ask; the nearest ones. */
const MOST = 10_000;
/** Steady ratios beside the whole ones, relative to the asked: where the turns are too few for any whole ratio to be even. */
const RATIO_STEP = 0.05;
const RATIO_STEPS = 5;

/** L of an ask: strokes after which nudges and clockings repeat. */
export function askPeriod(ask: Ask): number {
  return periodStrokes(ask.nudgeEvery, ask.lap.kind === 'steps' ? ask.lap.every : 0);
}

/** Whole strokes of one occurrence within the rate tolerance for which the periods close, nearest to the wanted rate first. */
export function strokeCandidates(ask: Ask): number[] {
  const period = askPeriod(ask);
  // M of one occurrence times their number must hold a whole number of periods.
  return wholeMultiples(ask, period / gcd(period, ask.occurrences));
}

/** Whole strokes within the tolerance for asks whose period does not fit; at least the nearest whole number. */
export function openCandidates(ask: Ask): number[] {
  const list = wholeMultiples(ask, 1).slice(0, FEW);
  return list.length > 0 ? list : [Math.max(1, Math.round(ask.turnsEach * ask.strokesPerTurn))];
}

/** The multiples of `unit` within the tolerance, nearest first; of very many only the nearest, for those far off are never taken. */
function wholeMultiples({ turnsEach, strokesPerTurn, rateTolerance }: Ask, unit: number): number[] {
  const wanted = turnsEach * strokesPerTurn;
  const low = Math.max(unit, wanted * (1 - rateTolerance) - 1e-9);
  const high = wanted * (1 + rateTolerance) + 1e-9;
  const list: number[] = [];
  let below = Math.floor(wanted / unit) * unit;
  let above = below + unit;
  while (list.length < MOST && (below >= low || above <= high)) {
    const takeBelow = below >= low && (above > high || wanted - below <= above - wanted);
    list.push(takeBelow ? below : above);
    if (takeBelow) below -= unit;
    else above += unit;
  }
  return list;
}

export interface LapCandidate {
  /** Over all strokes of the group, signed as asked. */
  lapTurns: number;
  /** Turns of the lap per clocking (steps) or per turn of the turntable (steady); 0 when it is held. */
  lapStep: number;
  /** Relative distance from what was asked. */
  deviation: number;
}

/** Ways to turn the lap over the given strokes, nearest to the asked angle or ratio first, always of the asked sense. */
export function* lapCandidates(ask: Ask, strokes: number): Generator<LapCandidate> {
  const { lap } = ask;
  const parts = lap.kind === 'steps' ? Math.floor(strokes / lap.every) : ask.turnsEach * ask.occurrences;
  if (lap.kind === 'held' || lap.turns === 0 || parts === 0) {
    yield { lapTurns: 0, lapStep: 0, deviation: 0 };
  } else if (lap.kind === 'steps' && parts === 1) {
    // One clocking cannot bring the lap round; it is made as asked.
    yield { lapTurns: lap.turns, lapStep: lap.turns, deviation: 0 };
  } else {
    const most = askPeriod(ask) > LONG_PERIOD ? FEW : Number.POSITIVE_INFINITY;
    if (lap.kind === 'steady') yield* openRatios(lap.turns, parts);
    let found = 0;
    for (const candidate of wholeTurns(lap.turns, parts)) {
      if (found >= most || (found >= 2 && candidate.deviation > ANGLE_TOLERANCE)) return;
      found++;
      yield candidate;
    }
  }
}

/** Whole lap turns J >= 1 around turns * parts, nearest first, without end. */
function* wholeTurns(turns: number, parts: number): Generator<LapCandidate> {
  const ideal = Math.abs(turns) * parts;
  let down = Math.floor(ideal);
  let up = down + 1;
  for (;;) {
    const whole = down >= 1 && ideal - down <= up - ideal ? down-- : up++;
    const signed = Math.sign(turns) * whole;
    yield { lapTurns: signed, lapStep: signed / parts, deviation: Math.abs(whole / ideal - 1) };
  }
}

function* openRatios(turns: number, parts: number): Generator<LapCandidate> {
  for (let k = 0; k <= RATIO_STEPS; k++) {
    for (const factor of k === 0 ? [1] : [1 + k * RATIO_STEP, 1 - k * RATIO_STEP]) {
      const ratio = turns * factor;
      yield { lapTurns: ratio * parts, lapStep: ratio, deviation: Math.abs(factor - 1) };
    }
  }
}
