/** From the demands on an axis to complaints a person can act on. */
import type { GearedStint } from '../gearing/types';
import type { AxisPeak, PLACE_AXES } from '../path/peaks';
import type { PathStint } from '../path/types';
import type { Program } from '../program/types';
import type { Stand } from '../stand/types';
import type { LimitComplaint } from './types';

/** Rounding allowed on a limit, relative. */
const SLACK = 1e-9;

/** Which limits of one axis a stint breaks. */
export function brokenLimits(
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
  const figures = `${Number(needed.toPrecision(4))} ${unit}, the stand allows ${allowed} ${unit}`;
  if (what === 'travel') {
    return `The ${AXIS_WORDS[name]} would have to go to ${figures} (${where}): change setting, stroke length, width or nudge.`;
  }
  const rate =
    fits === null
      ? ''
      : 'turntableRpm' in fits
        ? ` With the pattern unchanged, a turntable speed of ${fits.turntableRpm} rpm fits.`
        : ` With the pattern unchanged, ${fits.strokesPerMinute} strokes a minute fit.`;
  return `The ${AXIS_WORDS[name]} would need ${what === 'speed' ? 'a speed' : 'an acceleration'} of ${figures} (${where}).${rate}`;
}
