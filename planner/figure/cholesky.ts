/** The few operations on small symmetric matrices that the fit of a surface needs; row-major, sizes of a dozen or two. */

/** Lower triangular factor of a symmetric positive definite matrix, in place; false where it is not positive definite. */
export function factorise(matrix: Float64Array, size: number): boolean {
  for (let i = 0; i < size; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = matrix[i * size + j]!;
      for (let k = 0; k < j; k++) sum -= matrix[i * size + k]! * matrix[j * size + k]!;
      if (i !== j) matrix[i * size + j] = sum / matrix[j * size + j]!;
      else if (sum > 0) matrix[i * size + i] = Math.sqrt(sum);
      else return false;
    }
  }
  return true;
}

/** Solves L x = b in place. */
export function forward(factor: Float64Array, size: number, b: Float64Array): void {
  for (let i = 0; i < size; i++) {
    let sum = b[i]!;
    for (let k = 0; k < i; k++) sum -= factor[i * size + k]! * b[k]!;
    b[i] = sum / factor[i * size + i]!;
  }
}

/** Solves L^T x = b in place. */
export function backward(factor: Float64Array, size: number, b: Float64Array): void {
  for (let i = size - 1; i >= 0; i--) {
    let sum = b[i]!;
    for (let k = i + 1; k < size; k++) sum -= factor[k * size + i]! * b[k]!;
    b[i] = sum / factor[i * size + i]!;
  }
}

/** Twice the sum of the logarithms of the diagonal: log of the determinant of L L^T. */
export function logDeterminant(factor: Float64Array, size: number): number {
  let sum = 0;
  for (let i = 0; i < size; i++) sum += 2 * Math.log(factor[i * size + i]!);
  return sum;
}

export function dot(a: ArrayLike<number>, b: ArrayLike<number>): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i]! * b[i]!;
  return sum;
}

/** Least squares of `values` on a few `columns` with weights, by normal equations; the columns must not be near one another. */
export function weightedFit(
  columns: Float64Array[],
  values: ArrayLike<number>,
  weights: ArrayLike<number>,
): Float64Array {
  const size = columns.length;
  const matrix = new Float64Array(size * size);
  const right = new Float64Array(size);
  for (let i = 0; i < size; i++) {
    const weighted = columns[i]!.map((x, at) => x * weights[at]!);
    for (let j = 0; j <= i; j++) matrix[i * size + j] = dot(weighted, columns[j]!);
    right[i] = dot(weighted, values);
  }
  if (!factorise(matrix, size)) return new Float64Array(size).fill(Number.NaN);
  forward(matrix, size, right);
  backward(matrix, size, right);
  return right;
}
