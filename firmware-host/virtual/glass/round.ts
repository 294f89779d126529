/**
 * Heights and depths round the glass: at each ring the mean and the orders 1 to 4 of its change with azimuth. Higher orders average out
 * over a few strokes and no knife-edge reading shows them; lower ones are what a partial turn or a slipping glass leaves.
 */
import type { Rings } from '../../../planner/removal/profile';

export const HIGHEST_ORDER = 4;
const ROWS = 2 * HIGHEST_ORDER + 1;

/**
 * Row 0: the mean; rows 2m-1 and 2m: cosine and sine of order m. Each row has one value a ring. Azimuths are anticlockwise seen from
 * above, from where the glass stands at the turntable's index.
 */
export type RoundMap = Float64Array;

export function emptyMap(rings: Rings): RoundMap {
  return new Float64Array(ROWS * rings.count);
}

/** Adds `factor` x `part`, turned anticlockwise by an angle (radians). */
export function addTurned(into: RoundMap, part: RoundMap, angle: number, factor: number): void {
  const count = into.length / ROWS;
  for (let j = 0; j < count; j++) into[j]! += factor * part[j]!;
  for (let m = 1; m <= HIGHEST_ORDER; m++) {
    const cos = factor * Math.cos(m * angle);
    const sin = factor * Math.sin(m * angle);
    const c = (2 * m - 1) * count;
    const s = 2 * m * count;
    for (let j = 0; j < count; j++) {
      into[c + j]! += part[c + j]! * cos - part[s + j]! * sin;
      into[s + j]! += part[c + j]! * sin + part[s + j]! * cos;
    }
  }
}

/** The mean round each ring. */
export function meanOf(map: RoundMap): Float64Array {
  return map.slice(0, map.length / ROWS);
}

/** Amplitude of order m (1 to 4) round each ring. */
export function amplitudes(map: RoundMap, m: number): Float64Array {
  const count = map.length / ROWS;
  return Float64Array.from({ length: count }, (_, j) =>
    Math.hypot(map[(2 * m - 1) * count + j]!, map[2 * m * count + j]!),
  );
}

/**
 * Along a diameter, the mean of its two halves: a person balances the light of both openings of a zone, so what stands high on one
 * side and low on the other (orders 1 and 3) only moves the knife sideways and is not read.
 */
export function alongDiameter(map: RoundMap, azimuth: number): Float64Array {
  const count = map.length / ROWS;
  const mean = meanOf(map);
  for (let m = 2; m <= HIGHEST_ORDER; m += 2) {
    const cos = Math.cos(m * azimuth);
    const sin = Math.sin(m * azimuth);
    for (let j = 0; j < count; j++) mean[j]! += map[(2 * m - 1) * count + j]! * cos + map[2 * m * count + j]! * sin;
  }
  return mean;
}
