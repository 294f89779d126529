/** Turning points of a profile that are larger than what one cannot trust. */

/**
 * Turning points of the profile, the small ones dropped: of two neighbours that differ by less than `leastNm`, both go, smallest
 * difference first. The ends stay.
 */
export function turningPoints(heightNm: ArrayLike<number>, first: number, last: number, leastNm: number): number[] {
  const points = [first];
  for (let i = first + 1; i < last; i++) {
    const before = heightNm[i]! - heightNm[i - 1]!;
    const after = heightNm[i + 1]! - heightNm[i]!;
    if (before * after < 0 || (before !== 0 && after === 0)) points.push(i);
  }
  points.push(last);
  for (;;) {
    let smallest = leastNm;
    let at = -1;
    for (let k = 1; k < points.length; k++) {
      const difference = Math.abs(heightNm[points[k]!]! - heightNm[points[k - 1]!]!);
      if (difference < smallest) {
        smallest = difference;
        at = k;
      }
    }
    if (at < 0 || points.length <= 2) return points;
    // An end is never dropped: then only its neighbour goes.
    if (at === 1) points.splice(1, 1);
    else if (at === points.length - 1) points.splice(at - 1, 1);
    else points.splice(at - 1, 2);
    keepAlternating(points, heightNm);
  }
}

/** After dropping points a middle one may lie on a slope: it is no turning point any more. */
function keepAlternating(points: number[], heightNm: ArrayLike<number>): void {
  for (let k = points.length - 2; k >= 1; k--) {
    const before = heightNm[points[k]!]! - heightNm[points[k - 1]!]!;
    const after = heightNm[points[k + 1]!]! - heightNm[points[k]!]!;
    if (before * after >= 0) points.splice(k, 1);
  }
}
