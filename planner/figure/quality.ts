/** Figures of merit of a surface over its judged radii. Heights nm on the glass; a wavefront is twice as much. */
/** Highest minus lowest. */
export function peakToValleyNm(heightNm: ArrayLike<number>): number {
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < heightNm.length; i++) {
    low = Math.min(low, heightNm[i]!);
    high = Math.max(high, heightNm[i]!);
  }
  return high - low;
}

/** Root mean square over the area about the mean; `area` need not be normalised. */
export function rmsNm(heightNm: ArrayLike<number>, area: ArrayLike<number>): number {
  let whole = 0;
  let first = 0;
  let second = 0;
  for (let i = 0; i < heightNm.length; i++) {
    whole += area[i]!;
    first += area[i]! * heightNm[i]!;
    second += area[i]! * heightNm[i]! ** 2;
  }
  return Math.sqrt(Math.max(0, second / whole - (first / whole) ** 2));
}

/**
 * Strehl ratio on the axis, exactly: |mean over the area of exp(2 pi i W)|^2 with W in waves. No small-error formula; those
 * (Marechal; Mahajan, J. Opt. Soc. Am. 72, 1258, 1982) differ by several percent once the ratio is below 0.7. What is not
 * symmetric about the axis is not in it.
 */
export function strehl(heightNm: ArrayLike<number>, area: ArrayLike<number>, wavelengthNm: number): number {
  let whole = 0;
  let real = 0;
  let imaginary = 0;
  for (let i = 0; i < heightNm.length; i++) {
    const phase = (4 * Math.PI * heightNm[i]!) / wavelengthNm;
    whole += area[i]!;
    real += area[i]! * Math.cos(phase);
    imaginary += area[i]! * Math.sin(phase);
  }
  return (real * real + imaginary * imaginary) / (whole * whole);
}

/** 1.22: first zero of J1 over pi (3.831705970207512 / pi). */
const AIRY = 3.831705970207512 / Math.PI;

/**
 * Sideways miss of the ray from each radius at the focus, over the radius of the Airy disc (1.22 lambda f / D). A slope error s
 * turns the ray by 2 s, so it lands 2 s f off. Positive: towards the far side of the axis. Slopes in nm per mm.
 */
export function transverseRelative(
  slopeNmPerMm: ArrayLike<number>,
  diameterMm: number,
  wavelengthNm: number,
): number[] {
  const airySlope = (AIRY * wavelengthNm * 1e-6) / diameterMm; // radius of the disc over f
  return Array.from(slopeNmPerMm, (slope) => (2 * slope * 1e-6) / airySlope);
}
