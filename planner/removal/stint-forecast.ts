/** The rim-and-middle report of a stint: how the lap's rims bite and where the volume lies. */
import type { Path, PathStint } from '../path/types';
import { addProfile } from './profile';
import type { Profile } from './profile-measures';
import { centroidMm, depthAtNm, flankWidthMm, peakIndex, widthAboveMm, widthHoldingMm } from './profile-measures';
import { clockingMisfitNm, reversalCrowding } from './remainders';
import { polishedRing, profileNm, type Removal } from './removal';
import type { RimReport, StintForecast } from './types';
import { workPoints } from './work-points';

/**
 * Where the person stands: at the working side (facing the axis, +y at their back), or at one end of the stroke, looking
 * along it: the start lies at x < 0.
 */
export type Standing = 'working side' | 'start of the stroke' | 'end of the stroke';

const SEEN = {
  'working side': { inner: 'far', outer: 'near' },
  // Looking along +x the outward side (+y) lies to the left.
  'start of the stroke': { inner: 'right', outer: 'left' },
  'end of the stroke': { inner: 'left', outer: 'right' },
} as const;

export function stintForecast(
  removal: Removal,
  index: number,
  standing: Standing,
  otherSense: OtherSense,
): StintForecast {
  const stint = removal.task.path.stints[index]!;
  const { settingMm } = stint.geared.stint;
  const profile: Profile = { stepMm: removal.rings.stepMm, depthNm: profileNm(removal, index) };
  const at = (radiusMm: number, width1090Mm: number | null, seen: RimReport['seen']): RimReport => ({
    radiusMm,
    depthNm: depthAtNm(profile, radiusMm),
    width1090Mm,
    seen,
  });
  const { reachMm } = removal.face;
  const strokes = removal.strokes.filter((stroke) => stroke.stint === index);
  return {
    line: stint.geared.stint.line,
    turns: strokes.length > 0 ? strokes[strokes.length - 1]!.to - stint.fromTurns : 0,
    innerRim: at(settingMm - reachMm, flankWidthMm(profile, -1), SEEN[standing].inner),
    middle: at(settingMm, widthAboveMm(profile, 0.9), 'middle'),
    outerRim: at(settingMm + reachMm, flankWidthMm(profile, 1), SEEN[standing].outer),
    peakNm: profile.depthNm[peakIndex(profile)]!,
    contactSpanMm: contactSpanMm(removal, index),
    width90Mm: widthHoldingMm(profile, 0.9),
    reversals: Math.round(2 * (strokes.length - 1) + 2 * lastShare(strokes)),
    reversalCrowding: reversalCrowding(removal, index),
    centroidMm: centroidMm(profile),
    senseShiftMm: otherSense.shiftMm(index, stint, profile),
    clockingMisfitNm: clockingMisfitNm(removal, stint),
  };
}

/** Share of a whole stroke that the last one makes (1 unless the forecast stops inside it). */
function lastShare(strokes: Removal['strokes']): number {
  const last = strokes[strokes.length - 1];
  const first = strokes[0];
  return last && first ? Math.min(1, (last.to - last.from) / (first.to - first.from)) : 0;
}

function contactSpanMm(removal: Removal, index: number): number {
  const { rimMm, holeMm } = polishedRing(removal.task.glass);
  let inner = Number.POSITIVE_INFINITY;
  let outer = 0;
  for (const kind of new Set(removal.strokes.filter((s) => s.stint === index).map((s) => s.kind))) {
    for (const { centreMm } of removal.points[kind]!) {
      inner = Math.min(inner, centreMm - removal.face.reachMm);
      outer = Math.max(outer, centreMm + removal.face.reachMm);
    }
  }
  return Math.max(0, Math.min(rimMm, outer) - Math.max(holeMm, inner));
}

/** Mean profiles (per newton) of the mirror images of kinds of strokes, computed when first asked for. */
export class OtherSense {
  private readonly profiles = new Map<number, Float64Array>();
  private readonly path: Path;

  constructor(private readonly removal: Removal) {
    this.path = mirrored(removal.task.path);
  }

  /**
   * How far a stint's centroid lies outward of the mean of both senses. The other sense is the mirror image of the lap's way in
   * the line through axis and setting; turntable and clocking run as before.
   */
  shiftMm(index: number, stint: PathStint, profile: Profile): number {
    if (stint.geared.stint.widthMm === 0) return 0;
    const depthNm = new Float64Array(this.removal.rings.count);
    const counts = new Map<number, number>();
    for (const { stint: of, kind } of this.removal.strokes) {
      if (of === index) counts.set(kind, (counts.get(kind) ?? 0) + 1);
    }
    for (const [kind, count] of counts) {
      this.profileOf(kind).forEach((value, j) => {
        depthNm[j]! += count * value;
      });
    }
    return (centroidMm(profile) - centroidMm({ stepMm: profile.stepMm, depthNm })) / 2;
  }

  private profileOf(kind: number): Float64Array {
    const known = this.profiles.get(kind);
    if (known) return known;
    const { kinds, points, solver, face, rings } = this.removal;
    const { from, to, free } = kinds[kind]!;
    const found = workPoints(this.path, { from, to, free, count: points[kind]!.length }, solver);
    const profile = new Float64Array(rings.count);
    if (!('tipsAtMm' in found)) addProfile(found, face, rings, profile);
    this.profiles.set(kind, profile);
    return profile;
  }
}

function mirrored(path: Path): Path {
  const flip = (out: Float64Array): void => {
    for (const i of [1, 5]) if (i < out.length) out[i] = -out[i]!;
  };
  return {
    turns: path.turns,
    stints: path.stints,
    rests: path.rests,
    at(u) {
      const place = path.at(u);
      return { ...place, xMm: -place.xMm };
    },
    sample(u, out) {
      path.sample(u, out);
      flip(out);
    },
    derivatives(u, out) {
      path.derivatives(u, out);
      flip(out);
    },
  };
}
