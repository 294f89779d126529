/** One stint: its values, and what they mean together on this glass. */
import { complain, type Spot } from '../reading/fields';
import { group, type Parts, within } from '../reading/groups';
import type { Glass, Lap } from '../shelf/types';
import { clockField } from './clocking';
import { stintEntries } from './fields';
import { RATE_TOLERANCE } from './preset';
import { offGlass } from './reach';
import { clockingTrouble, rateTrouble } from './trouble';
import type { Clocking, Stint } from './types';

/**
 * What the top of the program gives to every stint; null where that could not be read (and was complained about
 * there).
 */
export interface Setup {
  glass: Glass | null;
  lap: Lap | null;
  turntableRpm: number | null;
  /** Missing: nobody gave one. */
  strokesPerMinute: number | null | 'missing';
}

/** Turns that go without saying: one inside an alternation, none elsewhere. */
export interface Surroundings {
  setup: Setup;
  impliedTurns: 1 | null;
  group: number;
}

export const stintGroup = group('a stint', stintEntries(clockField));
type StintParts = Parts<typeof stintGroup.entries>;

/** A stint together with where its values stand, for complaints that need the whole program. */
export interface ReadStint {
  stint: Stint;
  spot: Spot;
  spots: StintParts['spots'];
}

/** Null means it complained. Everything that can be judged is judged, also when other keys are wrong. */
export function readStint(spot: Spot, surroundings: Surroundings): ReadStint | null {
  const parts = stintGroup.readParts(spot);
  if (!parts) return null;
  const { setup } = surroundings;
  const turns = turnsOf(spot, parts, surroundings);
  const shapeFits = checkShape(spot, parts);
  const onGlass = checkReach(spot, parts, setup);
  const clocking = clockingOf(spot, parts, setup);
  const rate = rateOf(spot, parts, setup);
  const { complete, spots } = parts;
  if (!complete || turns === null || !shapeFits || !onGlass || !clocking || rate === null) return null;
  const stint: Stint = {
    turns,
    shape: complete.stroke,
    settingMm: complete.at,
    lengthMm: complete.length,
    widthMm: complete.width ?? 0,
    sense: complete.sense === 'clockwise' ? -1 : 1,
    strokesPerMinute: rate,
    rateTolerance: complete.rateTolerance ?? RATE_TOLERANCE,
    nudge: complete.nudge ? { everyStrokes: complete.nudge.every, byMm: complete.nudge.by } : null,
    clocking,
    line: spot.complaints.lineOf(spot.node.range?.[0] ?? 0),
    group: surroundings.group,
  };
  return { stint, spot, spots };
}

function turnsOf(spot: Spot, { values, spots }: StintParts, { setup, impliedTurns }: Surroundings): number | null {
  if (spots.turns && spots.atLeast) {
    complain(spots.atLeast, 'Both turns and atLeast are given. Keep one: turns counts, atLeast asks for a time.');
    return null;
  }
  if (spots.turns) return values.turns ?? null;
  if (spots.atLeast) {
    if (values.atLeast === undefined || setup.turntableRpm === null) return null;
    return wholeTurns(values.atLeast, setup.turntableRpm);
  }
  if (impliedTurns === null) complain(spot, 'How long? Write turns: 11, or atLeast: 4 min.');
  return impliedTurns;
}

/**
 * Turns in a time, rounded up; a time that is a whole number of turns stays that number although the quotient of two
 * decimal numbers may come out a hair above it.
 */
export function wholeTurns(seconds: number, turntableRpm: number): number {
  const turns = (seconds * turntableRpm) / 60;
  const near = Math.round(turns);
  return near >= 1 && Math.abs(turns - near) <= 1e-9 * near ? near : Math.max(1, Math.ceil(turns));
}

function checkShape(spot: Spot, { values, spots }: StintParts): boolean {
  if (values.stroke === 'straight') {
    for (const key of ['width', 'sense'] as const) {
      const extra = spots[key];
      if (!extra) continue;
      complain(extra, `A straight stroke has no ${key}. Leave it out, or write stroke: ellipse.`);
      return false;
    }
  }
  if (values.stroke === 'ellipse' && !spots.width) {
    complain(spots.stroke ?? spot, 'An ellipse needs its full width, e.g. width: 16 mm; or write stroke: straight.');
    return false;
  }
  return true;
}

function checkReach(spot: Spot, { values, spots }: StintParts, { glass, lap }: Setup): boolean {
  if (values.at === undefined || !glass) return true;
  const widthMm = values.stroke === 'ellipse' ? (values.width ?? 0) : 0;
  const pattern = { settingMm: values.at, lengthMm: values.length ?? 0, widthMm, nudgeMm: values.nudge?.by ?? 0 };
  const off = offGlass(pattern, glass, lap);
  if (off) complain(off.key === 'nudge' ? within(spots.nudge ?? spot, 'by') : (spots[off.key] ?? spot), off.message);
  return off === null;
}

function clockingOf(spot: Spot, { values, spots }: StintParts, { lap }: Setup): Clocking | null {
  if (spots.clock && !values.clock) return null;
  const clocking = values.clock ?? { kind: lap?.rotation === 'free' ? 'free' : 'none' };
  const trouble = lap && clockingTrouble(clocking, lap);
  if (trouble) complain(spots.clock ?? spot, trouble);
  return trouble ? null : clocking;
}

function rateOf(spot: Spot, { values, spots }: StintParts, { strokesPerMinute, turntableRpm }: Setup): number | null {
  if (spots.rate)
    return values.rate !== undefined && rateFits(spots.rate, values.rate, turntableRpm) ? values.rate : null;
  if (strokesPerMinute === 'missing') {
    complain(spot, 'How fast? Write rate: 44 /min here, or once at the top of the program.');
    return null;
  }
  return strokesPerMinute;
}

export function rateFits(spot: Spot, strokesPerMinute: number, turntableRpm: number | null): boolean {
  const trouble = turntableRpm === null ? null : rateTrouble(strokesPerMinute, turntableRpm);
  if (trouble !== null) complain(spot, trouble);
  return trouble === null;
}
