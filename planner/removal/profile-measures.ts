/** Figures read off a mean profile: where it peaks, how its flanks rise, where its volume lies. Lengths in mm. */

/** A profile on rings evenly spaced from the axis: value j at radius j x stepMm. */
export interface Profile {
  stepMm: number;
  depthNm: Float64Array;
}

export function peakIndex(profile: Profile): number {
  let best = 0;
  profile.depthNm.forEach((value, j) => {
    if (value > profile.depthNm[best]!) best = j;
  });
  return best;
}

/** Radius at which the profile, walking from its peak inward (-1) or outward (+1), first falls to a share of the peak. */
export function fallsToMm(profile: Profile, share: number, way: 1 | -1): number | null {
  const { depthNm, stepMm } = profile;
  const peak = peakIndex(profile);
  const level = share * depthNm[peak]!;
  for (let j = peak; j + way >= 0 && j + way < depthNm.length; j += way) {
    const here = depthNm[j]!;
    const next = depthNm[j + way]!;
    if (here >= level && next < level) return stepMm * (j + (way * (here - level)) / (here - next));
  }
  return null;
}

/** 10-90 % width of the inner (-1) or outer (+1) flank; null where the glass or the axis ends before the profile falls to 10 %. */
export function flankWidthMm(profile: Profile, way: 1 | -1): number | null {
  const foot = fallsToMm(profile, 0.1, way);
  const shoulder = fallsToMm(profile, 0.9, way);
  return foot === null || shoulder === null ? null : Math.abs(foot - shoulder);
}

/** Width of the band that stays above a share of the peak, cut by the axis and the rim. */
export function widthAboveMm(profile: Profile, share: number): number {
  const inner = fallsToMm(profile, share, -1) ?? 0;
  const outer = fallsToMm(profile, share, 1) ?? (profile.depthNm.length - 1) * profile.stepMm;
  return outer - inner;
}

export function depthAtNm(profile: Profile, radiusMm: number): number {
  const place = radiusMm / profile.stepMm;
  const j = Math.floor(place);
  if (j < 0 || j >= profile.depthNm.length) return 0;
  const here = profile.depthNm[j]!;
  return here + (place - j) * ((profile.depthNm[j + 1] ?? 0) - here);
}

/** Volume between two radii, nm mm2: the profile is taken as straight between its rings. */
export function volume(profile: Profile, fromMm = 0, toMm = Number.POSITIVE_INFINITY): number {
  let total = 0;
  eachPiece(profile, fromMm, toMm, (radiusMm, widthMm, depthNm) => {
    total += 2 * Math.PI * radiusMm * widthMm * depthNm;
  });
  return total;
}

/** Mean radius of the volume; 0 for an empty profile. */
export function centroidMm(profile: Profile): number {
  let total = 0;
  let moment = 0;
  eachPiece(profile, 0, Number.POSITIVE_INFINITY, (radiusMm, widthMm, depthNm) => {
    total += radiusMm * widthMm * depthNm;
    moment += radiusMm * radiusMm * widthMm * depthNm;
  });
  return total > 0 ? moment / total : 0;
}

/** Width of the band that holds a share of the volume, with equal parts left inward and outward of it. */
export function widthHoldingMm(profile: Profile, share: number): number {
  const whole = volume(profile);
  if (whole <= 0) return 0;
  const bounds = [(1 - share) / 2, (1 + share) / 2].map((part) => {
    let before = 0;
    for (let j = 0; j + 1 < profile.depthNm.length; j++) {
      const here = volume(profile, j * profile.stepMm, (j + 1) * profile.stepMm);
      if (here > 0 && before + here >= part * whole) return (j + (part * whole - before) / here) * profile.stepMm;
      before += here;
    }
    return (profile.depthNm.length - 1) * profile.stepMm;
  });
  return bounds[1]! - bounds[0]!;
}

/** Pieces no wider than a ring step between two radii: middle radius, width, depth there. */
function eachPiece(
  profile: Profile,
  fromMm: number,
  toMm: number,
  visit: (radiusMm: number, widthMm: number, depthNm: number) => void,
): void {
  const { stepMm, depthNm } = profile;
  for (let j = Math.max(0, Math.floor(fromMm / stepMm)); j + 1 < depthNm.length; j++) {
    const begin = Math.max(fromMm, j * stepMm);
    const end = Math.min(toMm, (j + 1) * stepMm);
    if (begin >= toMm) return;
    if (end > begin) visit((begin + end) / 2, end - begin, depthAtNm(profile, (begin + end) / 2));
  }
}
