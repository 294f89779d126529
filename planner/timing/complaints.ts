/** From the demands on an axis to complaints a person can act on. */
import type { GearedStint } from '../gearing/types';
import type { AxisPeak, PLACE_AXES } from '../path/peaks';
import type { PathStint } from '../path/types';
import type { Program } from '../program/types';
import type { Stand } from '../stand/types';
import type { LimitComplaint } from './types';

type Driven = (typeof PLACE_AXES)[number];

/** A limit that a stint breaks; `fits` is what would keep this one limit. */
export interface BrokenLimit extends Omit<LimitComplaint, 'message' | 'unit'> {
  axis: Driven;
  /** How far the gearing of the stint may leave the rate. */
  rateTolerance: number;
}

/** Rounding allowed on a limit, relative. */
const SLACK = 1e-9;

/** Which limits of one axis a stint breaks. */
export function brokenLimits(
  axis: Driven,
  peak: AxisPeak,
  { geared }: PathStint,
  program: Program,
  stand: Stand,
): BrokenLimit[] {
  const { maxSpeed, maxAcceleration, min, max } = stand.axes[axis];
  const { line, rateTolerance } = geared.stint;
  const found: BrokenLimit[] = [];
  const add = (
    what: BrokenLimit['what'],
    needed: number,
    allowed: number,
    turns: number,
    share: number | null,
  ): void => {
    const fits = share === null ? null : slower(axis, geared, share, program);
    found.push({ axis, what, needed, allowed, line, turns, fits, rateTolerance });
  };
  if (peak.speed > maxSpeed * (1 + SLACK)) add('speed', peak.speed, maxSpeed, peak.speedAt, maxSpeed / peak.speed);
  if (peak.acceleration > maxAcceleration * (1 + SLACK)) {
    add('acceleration', peak.acceleration, maxAcceleration, peak.accelerationAt, peak.accelerationShare);
  }
  if (min !== undefined && peak.min < min - SLACK) add('travel', peak.min, min, peak.minAt, null);
  if (max !== undefined && peak.max > max + SLACK) add('travel', peak.max, max, peak.maxAt, null);
  return found;
}

/**
 * What a person would write to walk at that share of the speed. The turntable and a steadily turning lap follow the turntable's speed, all
 * else the stroke rate, which the gearing may exceed by its tolerance.
 */
function slower(axis: Driven, { stint, strokesPerTurn }: GearedStint, share: number, program: Program): Fits {
  const down = (value: number): number => Math.floor(value * share * 100) / 100;
  return axis === 'turntable' || (axis === 'lapTurn' && stint.clocking.kind === 'steady')
    ? { turntableRpm: down(program.turntableRpm) }
    : { strokesPerMinute: down((strokesPerTurn * program.turntableRpm) / (1 + stint.rateTolerance)) };
}

type Fits = NonNullable<LimitComplaint['fits']>;

/** The slower of two ways to fit; the first where they are of different kinds. */
export function slowest(one: LimitComplaint['fits'], other: LimitComplaint['fits']): LimitComplaint['fits'] {
  if (!one || !other) return one;
  if ('turntableRpm' in one) return 'turntableRpm' in other && other.turntableRpm < one.turntableRpm ? other : one;
  return 'strokesPerMinute' in other && other.strokesPerMinute < one.strokesPerMinute ? other : one;
}

const AXIS_WORDS = {
  turntable: 'turntable',
  stroke: 'stroke slide',
  radial: 'radial slide',
  lapTurn: 'lap rotation',
} as const;

/** The complaint about a broken limit. */
export function limitComplaint({ rateTolerance, ...broken }: BrokenLimit, stand: Stand): LimitComplaint {
  const { axis, what, needed, allowed, turns, fits } = broken;
  const unit = stand.axes[axis].unit + (what === 'speed' ? '/s' : what === 'acceleration' ? '/s2' : '');
  // The turntable's speed is written in rpm everywhere else.
  const figure = (value: number): string =>
    axis === 'turntable' && what === 'speed'
      ? `${plain(value)} ${unit} (${plain(value * 60)} rpm)`
      : `${plain(value)} ${unit}`;
  const figures = `${figure(needed)}, the stand allows ${figure(allowed)}`;
  const where = `at turn ${turns.toFixed(2)}`;
  const message =
    what === 'travel'
      ? `The ${AXIS_WORDS[axis]} would have to go to ${figures} (${where}): change setting, stroke length, width or nudge.`
      : `The ${AXIS_WORDS[axis]} would need ${what === 'speed' ? 'a speed' : 'an acceleration'} of ${figures} (${where}).` +
        fitsWords(fits, rateTolerance);
  return { ...broken, unit, message };
}

function fitsWords(fits: LimitComplaint['fits'], rateTolerance: number): string {
  if (fits === null) return '';
  return 'turntableRpm' in fits
    ? ` With the pattern unchanged, a turntable speed of ${fits.turntableRpm} rpm fits.`
    : ` With the pattern unchanged, ${fits.strokesPerMinute} strokes a minute fit, also where the gearing takes ${plain(100 * rateTolerance)} % more.`;
}

/** Four digits that tell, never as a power of ten. */
function plain(value: number): string {
  return String(Number(value.toPrecision(4)));
}
