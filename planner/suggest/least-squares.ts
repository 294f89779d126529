/**
 * Least squares with answers that are not negative: strokes put no glass back. Active sets after Lawson & Hanson, Solving Least
 * Squares Problems (1974), ch. 23 (recalled); the free columns are kept orthonormal, so that nearly parallel candidates, which
 * neighbouring settings are, cost no digits.
 */
export interface NonNegativeFit {
  /** One per column, none negative. */
  x: Float64Array;
  /** b - A x. */
  residual: Float64Array;
  residualNorm: number;
  certificate: Certificate;
}

/**
 * The conditions of Karush, Kuhn and Tucker, which for this problem are not only needed but enough: whoever recomputes them from
 * A, b and x alone has shown that no other answer is better. All relative to |column| |b|.
 */
export interface Certificate {
  /** Most negative answer, 0 if none. */
  negative: number;
  /** Largest gain that any column at nought would still bring. */
  gain: number;
  /** Largest slope left on a column in use. */
  slope: number;
  holds: boolean;
}

/** Slopes below this count as none, for columns and right-hand side of length 1. */
const FLAT = 1e-10;
/** What the certificate asks for. */
const PROVEN = 1e-8;

/** Columns must be of one length and finite; a column of zeros is never used. */
export function fitNonNegative(columns: readonly Float64Array[], b: Float64Array): NonNegativeFit {
  const whole = norm(b);
  const sizes = columns.map(norm);
  const y = solveUnit(
    columns.map((column, j) => divided(column, sizes[j]!)),
    divided(b, whole),
  );
  const x = y.map((value, j) => (value > 0 ? (value / sizes[j]!) * whole : 0));
  const residual = residualOf(columns, b, x);
  return { x, residual, residualNorm: norm(residual), certificate: certify(columns, b, x) };
}

/** The problem with columns and right-hand side of length 1 (or 0). */
function solveUnit(columns: readonly Float64Array[], b: Float64Array): Float64Array {
  const size = columns.length;
  const x = new Float64Array(size);
  const free = new FreeColumns(columns);
  const barred = new Uint8Array(size);
  let residual: Float64Array = Float64Array.from(b);
  for (let round = 0; round < 3 * size + 30; round++) {
    const next = steepest(columns, residual, x, barred);
    if (next < 0) break;
    free.add(next);
    let trial = free.solve(b);
    if (trial === null || !(trial[trial.length - 1]! > 0)) {
      // Rounding made a column look useful that is not; it may be again once others have changed.
      free.remove(free.indices.length - 1);
      barred[next] = 1;
      continue;
    }
    while (trial?.some((value) => value <= 0)) {
      stepBack(free, x, trial);
      trial = free.solve(b);
    }
    x.fill(0);
    if (trial) for (const [k, value] of trial.entries()) x[free.indices[k]!] = value;
    residual = residualOf(columns, b, x);
    barred.fill(0);
  }
  return x;
}

/** Recomputes everything from the problem and the answer. */
export function certify(columns: readonly Float64Array[], b: Float64Array, x: Float64Array): Certificate {
  const whole = norm(b);
  const unit = columns.map((column) => divided(column, norm(column)));
  const left = divided(residualOf(columns, b, x), whole);
  let negative = 0;
  let gain = 0;
  let slope = 0;
  unit.forEach((column, j) => {
    const lean = product(column, left);
    negative = Math.min(negative, x[j]!);
    if (x[j]! > 0) slope = Math.max(slope, Math.abs(lean));
    else gain = Math.max(gain, lean);
  });
  return { negative, gain, slope, holds: negative === 0 && gain <= PROVEN && slope <= PROVEN };
}

/** The unused column that the residual leans on most; -1 when none is left. */
function steepest(
  columns: readonly Float64Array[],
  residual: Float64Array,
  x: Float64Array,
  barred: Uint8Array,
): number {
  let best = -1;
  let most = 0;
  for (let j = 0; j < columns.length; j++) {
    if (x[j]! > 0 || barred[j] === 1) continue;
    const lean = product(columns[j]!, residual);
    if (lean > FLAT && lean > most) {
      most = lean;
      best = j;
    }
  }
  return best;
}

/** Goes from x towards the trial until the first column reaches nought, and lets go of it. */
function stepBack(free: FreeColumns, x: Float64Array, trial: Float64Array): void {
  let share = 1;
  trial.forEach((value, k) => {
    if (value > 0) return;
    const now = x[free.indices[k]!]!;
    share = Math.min(share, now / (now - value));
  });
  const gone: number[] = [];
  trial.forEach((value, k) => {
    const j = free.indices[k]!;
    x[j] = x[j]! + share * (value - x[j]!);
    if (value <= 0 && x[j]! <= 1e-14 * (1 + Math.abs(value))) gone.push(k);
  });
  if (gone.length === 0) gone.push(trial.indexOf(Math.min(...trial)));
  for (const k of gone.reverse()) {
    x[free.indices[k]!] = 0;
    free.remove(k);
  }
}

/** The columns in use, as an orthonormal basis and the triangle that leads back. */
class FreeColumns {
  readonly indices: number[] = [];
  private readonly basis: Float64Array[] = [];
  private readonly triangle: Float64Array[] = [];

  constructor(private readonly columns: readonly Float64Array[]) {}

  add(index: number): void {
    this.indices.push(index);
    this.append(index);
  }

  /** Lets go of a column: the triangle's later columns move up by one and plane rotations make it a triangle again. */
  remove(at: number): void {
    this.indices.splice(at, 1);
    this.triangle.splice(at, 1);
    const size = this.indices.length;
    for (let k = at; k < size; k++) {
      const column = this.triangle[k]!;
      const length = Math.hypot(column[k]!, column[k + 1]!);
      const cos = length > 0 ? column[k]! / length : 1;
      const sin = length > 0 ? column[k + 1]! / length : 0;
      for (let l = k; l < size; l++) {
        const other = this.triangle[l]!;
        const upper = other[k]!;
        const lower = other[k + 1]!;
        other[k] = cos * upper + sin * lower;
        other[k + 1] = cos * lower - sin * upper;
      }
      const upper = this.basis[k]!;
      const lower = this.basis[k + 1]!;
      for (let row = 0; row < upper.length; row++) {
        const u = upper[row]!;
        const v = lower[row]!;
        upper[row] = cos * u + sin * v;
        lower[row] = cos * v - sin * u;
      }
    }
    this.basis.length = size;
  }

  private append(index: number): void {
    const left = Float64Array.from(this.columns[index]!);
    const row = new Float64Array(this.basis.length + 1);
    // Twice is enough (Kahan and Parlett): the second pass takes what rounding left of the first.
    for (let pass = 0; pass < 2; pass++) {
      this.basis.forEach((q, k) => {
        const share = product(q, left);
        row[k]! += share;
        for (let i = 0; i < left.length; i++) left[i]! -= share * q[i]!;
      });
    }
    const size = norm(left);
    row[this.basis.length] = size;
    this.basis.push(size > 0 ? left.map((value) => value / size) : left);
    this.triangle.push(row);
  }

  /** Unconstrained answer on the free columns; null where they depend on one another. */
  solve(b: Float64Array): Float64Array | null {
    const size = this.indices.length;
    const out = new Float64Array(size);
    for (let k = size - 1; k >= 0; k--) {
      const pivot = this.triangle[k]![k]!;
      if (pivot <= 1e-12) return null;
      let value = product(this.basis[k]!, b);
      for (let l = k + 1; l < size; l++) value -= this.triangle[l]![k]! * out[l]!;
      out[k] = value / pivot;
    }
    return out;
  }
}

function residualOf(columns: readonly Float64Array[], b: Float64Array, x: Float64Array): Float64Array {
  const out = Float64Array.from(b);
  columns.forEach((column, j) => {
    const turns = x[j]!;
    if (turns === 0) return;
    for (let i = 0; i < out.length; i++) out[i]! -= turns * column[i]!;
  });
  return out;
}

function product(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i]! * b[i]!;
  return sum;
}

/** Length of a vector; by its largest entry, so that squares neither vanish nor overflow. */
function norm(a: Float64Array): number {
  let most = 0;
  for (const value of a) most = Math.max(most, Math.abs(value));
  if (most === 0) return 0;
  let sum = 0;
  for (const value of a) sum += (value / most) ** 2;
  return most * Math.sqrt(sum);
}

function divided(a: Float64Array, by: number): Float64Array {
  return by > 0 ? a.map((value) => value / by) : new Float64Array(a.length);
}
