/**
 * The conic of revolution, exactly: sag, slope, where its normal meets the axis, and what a change of its radius does.
 *
 * Frame: z along the axis from the vertex towards the centre of curvature, r from the axis; both mm. A glass that stands high
 * has more z. Formulas: z = r^2 / (R + sqrt(R^2 - (1 + K) r^2)) for the conic; dz/dr = r / sqrt(R^2 - (1 + K) r^2) follows,
 * and with it the normal's crossing at R - K z, without a series.
 */
export interface Conic {
  /** Vertex radius of curvature, positive for a concave glass. */
  radiusMm: number;
  /** K: 0 sphere, -1 paraboloid. */
  conicConstant: number;
}

/** The conic a glass should have. */
export function askedConic(glass: { radiusOfCurvatureMm: number; conicConstant: number }): Conic {
  return { radiusMm: glass.radiusOfCurvatureMm, conicConstant: glass.conicConstant };
}

/** Depth of the curve at radius r, mm. NaN where the conic does not reach out so far. */
export function sagMm(conic: Conic, rMm: number): number {
  return (rMm * rMm) / (conic.radiusMm + rootMm(conic, rMm));
}

/** dz/dr at radius r, dimensionless. */
export function slopeOf(conic: Conic, rMm: number): number {
  return rMm / rootMm(conic, rMm);
}

/** Distance from the vertex at which the normal at radius r meets the axis, mm: R - K z(r). */
export function normalCrossingMm(conic: Conic, rMm: number): number {
  return conic.radiusMm - conic.conicConstant * sagMm(conic, rMm);
}

/**
 * Shape of a change of focus: twice dz/d(1/R), mm^2, equal to r^2 for a paraboloid and near the axis. A surface error of this
 * shape is no error of figure; the eyepiece is moved. (From R z_k = z / (1 - (1 + K) z / R) with k = 1/R, by differentiating
 * the conic's equation k (r^2 + (1 + K) z^2) = 2 z.)
 */
export function focusShapeMm2(conic: Conic, rMm: number): number {
  const sag = sagMm(conic, rMm);
  return (2 * conic.radiusMm * sag) / (1 - ((1 + conic.conicConstant) * sag) / conic.radiusMm);
}

function rootMm(conic: Conic, rMm: number): number {
  return Math.sqrt(conic.radiusMm ** 2 - (1 + conic.conicConstant) * rMm * rMm);
}
