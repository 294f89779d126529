/**
 * Whether a pattern keeps the lap's centre on the glass. The straight stroke is a chord: its ends lie at r^2 = s^2 +
 * (L/2)^2, further out than the setting. The rim of the lap may hang over the edge (that is edge work, and the
 * forecast says what it does); its centre may not: with its load line beyond the edge a lap tips off.
 */

import type { Glass, Lap } from '../shelf/types';
import { formatLength } from '../units/format';

export interface Pattern {
  settingMm: number;
  lengthMm: number;
  /** 0 for a straight stroke. */
  widthMm: number;
  /** Inward positive; 0 without a nudge. */
  nudgeMm: number;
}

export interface Reach {
  /** Largest distance of the lap's centre from the axis of the turntable. */
  farthestMm: number;
  nearestMm: number;
  /** Smallest y of the stand frame: negative means past the middle of the glass. */
  lowestMm: number;
}

/** Even, so that both ends and both mid-strokes are among the samples. */
const SAMPLES = 720;

/**
 * Over plain and nudged strokes: y = s + (W/2) sin psi, lowered by d sin^4(psi/2) on a nudged one; x = -(L/2) cos
 * psi.
 */
export function reachOf({ settingMm, lengthMm, widthMm, nudgeMm }: Pattern): Reach {
  const reach: Reach = { farthestMm: 0, nearestMm: Number.POSITIVE_INFINITY, lowestMm: Number.POSITIVE_INFINITY };
  for (let sample = 0; sample < SAMPLES; sample++) {
    const psi = (2 * Math.PI * sample) / SAMPLES;
    const x = -(lengthMm / 2) * Math.cos(psi);
    const plain = settingMm + (widthMm / 2) * Math.sin(psi);
    for (const y of [plain, plain - nudgeMm * Math.sin(psi / 2) ** 4]) {
      const radius = Math.sqrt(x * x + y * y);
      reach.farthestMm = Math.max(reach.farthestMm, radius);
      reach.nearestMm = Math.min(reach.nearestMm, radius);
      reach.lowestMm = Math.min(reach.lowestMm, y);
    }
  }
  return reach;
}

export interface OffGlass {
  /** The value to change. */
  key: 'at' | 'length' | 'width' | 'nudge';
  message: string;
}

/**
 * The first thing that takes the lap off the glass or past its middle, or null. Adds one value after the other to
 * find it.
 */
export function offGlass(pattern: Pattern, glass: Omit<Glass, 'id'>, lap: Omit<Lap, 'id'> | null): OffGlass | null {
  const faceMm = glass.diameterMm / 2 - glass.bevelMm;
  const leaves = ({ farthestMm, lowestMm }: Reach) => farthestMm > faceMm + TOUCH_MM || lowestMm < -TOUCH_MM;
  if (!leaves(reachOf(pattern))) return overHole(pattern, glass, lap);
  const none = { lengthMm: 0, widthMm: 0, nudgeMm: 0 };
  const { settingMm, lengthMm, widthMm } = pattern;
  const stages = [
    { key: 'at', pattern: { ...none, settingMm }, what: 'The setting is' },
    { key: 'length', pattern: { ...none, settingMm, lengthMm }, what: 'The stroke is a chord; its ends reach' },
    { key: 'width', pattern: { ...none, settingMm, lengthMm, widthMm }, what: 'The ellipse reaches' },
    { key: 'nudge', pattern, what: 'The nudged end reaches' },
  ] as const;
  for (const { key, pattern: staged, what } of stages) {
    const reach = reachOf(staged);
    if (!leaves(reach)) continue;
    if (reach.farthestMm > faceMm + TOUCH_MM) {
      const where = `${what} ${mm(reach.farthestMm)} from the middle and the glass ends at ${mm(faceMm)}`;
      const message = `${where}: the lap's centre would leave it and the lap tips off the edge. ${REMEDY[key]}`;
      return { key, message };
    }
    return { key, message: pastMiddle(key, pattern) };
  }
  return null;
}

/** A stroke may end exactly at the edge; rounding must not decide that. */
const TOUCH_MM = 1e-6;

const REMEDY = {
  at: 'Set it further in.',
  length: 'Shorten the stroke or set it further in.',
  width: 'Make the ellipse narrower or set it further in.',
  nudge: 'Nudge less, or inwards.',
};

function pastMiddle(key: OffGlass['key'], { settingMm, widthMm }: Pattern): string {
  const beyond = 'would cross the middle of the glass, where the same zones are worked again from the other side.';
  return key === 'width'
    ? `An ellipse ${mm(widthMm)} wide set at ${mm(settingMm)} ${beyond} It can be at most ${mm(2 * settingMm)} wide.`
    : `This nudge ${beyond} It can be at most the ${mm(settingMm)} of the setting, less in an ellipse.`;
}

/**
 * Over a hole the contact is a crescent whose horns lie at (c^2 + h^2 - a^2) / (2c) from the axis (two circles
 * meeting); the load line leaves it, and the lap tips in, when a^2 + c^2 < h^2 (computed from that formula).
 */
function overHole(pattern: Pattern, glass: Omit<Glass, 'id'>, lap: Omit<Lap, 'id'> | null): OffGlass | null {
  if (!lap || glass.holeMm === 0) return null;
  const holeRadiusMm = glass.holeMm / 2;
  const { nearestMm } = reachOf(pattern);
  if (Math.hypot(lap.outline.diameterMm / 2, nearestMm) >= holeRadiusMm - TOUCH_MM) return null;
  const where = `The lap comes to ${mm(nearestMm)} from the middle, over the hole of ${mm(glass.holeMm)}`;
  return { key: 'at', message: `${where}, and tips into it. Set it further out or take a larger lap.` };
}

function mm(lengthMm: number): string {
  return formatLength(lengthMm, 'mm');
}
