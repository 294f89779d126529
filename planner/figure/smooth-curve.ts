/**
 * The prior for what a mask cannot see: a smooth, even function of the radius, with unknown size and unknown smoothness.
 *
 * Covariance: Matern with nu = 7/2 (three times differentiable curves), made even about the axis by adding its mirror image. The
 * formula is the standard one (Rasmussen & Williams, Gaussian Processes for Machine Learning, 2006, Eq. 4.14 for nu = 7/2; recalled).
 */
export interface StepPlace {
  plusMm: number;
  minusMm: number;
}

const ROOT_7 = Math.sqrt(7);
/** Here the covariance has fallen below 1e-13 and counts as none. */
const FAR = 40;

/** m(d) for a distance in units of the length. */
function matern(distance: number): number {
  const s = ROOT_7 * Math.abs(distance);
  return s > FAR ? 0 : (1 + s * (1 + s * (0.4 + s / 15))) * Math.exp(-s);
}

/** dm/dd, d in units of the length. */
function maternSlope(distance: number): number {
  const s = ROOT_7 * Math.abs(distance);
  return s > FAR ? 0 : (-7 / 5) * distance * (1 + s * (1 + s / 3)) * Math.exp(-s);
}

export function covariance(xMm: number, yMm: number, lengthMm: number): number {
  return matern((xMm - yMm) / lengthMm) + matern((xMm + yMm) / lengthMm);
}

/** Derivative of the covariance by its first radius, per mm. */
function covarianceSlope(xMm: number, yMm: number, lengthMm: number): number {
  return (maternSlope((xMm - yMm) / lengthMm) + maternSlope((xMm + yMm) / lengthMm)) / lengthMm;
}

/** Covariance of the curve at x with its step over a place. */
function covarianceWithStep(xMm: number, place: StepPlace, lengthMm: number): number {
  return covariance(xMm, place.plusMm, lengthMm) - covariance(xMm, place.minusMm, lengthMm);
}

/**
 * Covariances of the curve and of its slope with all steps, for a few lengths, kept by radius: a refinement asks for the same
 * radii again and again, and exponentials are what a reduction spends its time on.
 */
export class StepTable {
  private readonly heights = new Map<number, Float64Array[]>();
  private readonly slopes = new Map<number, Float64Array[]>();
  /** Adjoining windows share an edge. */
  private readonly edges: readonly number[];
  private readonly plus: readonly number[];
  private readonly minus: readonly number[];

  constructor(
    places: readonly StepPlace[],
    readonly lengthsMm: readonly number[],
  ) {
    this.edges = [...new Set(places.flatMap(({ plusMm, minusMm }) => [plusMm, minusMm]))];
    this.plus = places.map(({ plusMm }) => this.edges.indexOf(plusMm));
    this.minus = places.map(({ minusMm }) => this.edges.indexOf(minusMm));
  }

  /** One row a length. */
  heightsAt(rMm: number): readonly Float64Array[] {
    return this.kept(this.heights, rMm, covariance);
  }

  /** Per mm; one row a length. */
  slopesAt(rMm: number): readonly Float64Array[] {
    return this.kept(this.slopes, rMm, covarianceSlope);
  }

  private kept(
    table: Map<number, Float64Array[]>,
    rMm: number,
    value: (rMm: number, edgeMm: number, lengthMm: number) => number,
  ): Float64Array[] {
    const known = table.get(rMm);
    if (known) return known;
    const made = this.lengthsMm.map((lengthMm) => {
      const atEdges = this.edges.map((edgeMm) => value(rMm, edgeMm, lengthMm));
      const row = new Float64Array(this.plus.length);
      for (let i = 0; i < row.length; i++) row[i] = atEdges[this.plus[i]!]! - atEdges[this.minus[i]!]!;
      return row;
    });
    table.set(rMm, made);
    return made;
  }
}

export function stepCovariances(places: readonly StepPlace[], lengthMm: number): Float64Array {
  const size = places.length;
  const out = new Float64Array(size * size);
  for (let i = 0; i < size; i++) {
    for (let j = 0; j <= i; j++) {
      const { plusMm, minusMm } = places[i]!;
      const both = covarianceWithStep(plusMm, places[j]!, lengthMm) - covarianceWithStep(minusMm, places[j]!, lengthMm);
      out[i * size + j] = both;
      out[j * size + i] = both;
    }
  }
  return out;
}

/**
 * Product of the covariance matrix over an evenly spaced grid with a few vectors, without forming it: on such a grid it depends
 * on the difference and the sum of two places only.
 */
export function gridProducts(radiusMm: Float64Array, lengthMm: number, vectors: Float64Array[]): Float64Array[] {
  const size = radiusMm.length;
  const from = radiusMm[0]!;
  const step = (radiusMm[size - 1]! - from) / (size - 1);
  const apart = Float64Array.from({ length: size }, (_, i) => matern((i * step) / lengthMm));
  const mirrored = Float64Array.from({ length: 2 * size - 1 }, (_, i) => matern((2 * from + i * step) / lengthMm));
  return vectors.map((vector) => {
    const out = new Float64Array(size);
    for (let i = 0; i < size; i++) {
      let sum = 0;
      for (let j = 0; j < size; j++) sum += (apart[i > j ? i - j : j - i]! + mirrored[i + j]!) * vector[j]!;
      out[i] = sum;
    }
    return out;
  });
}
