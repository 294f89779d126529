/** Cubic spline through ascending points, a parabola at either end (so that r^2 comes out exactly); beyond them it goes on straight. */
export interface Curve {
  value(x: number): number;
  slope(x: number): number;
}

export function splineThrough(x: ArrayLike<number>, y: ArrayLike<number>): Curve {
  const last = x.length - 1;
  const bend = secondDerivatives(x, y);
  const pieceOf = (at: number): number => {
    let low = 0;
    let high = last;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (x[middle]! <= at) low = middle;
      else high = middle;
    }
    return low;
  };
  const inside = (i: number, at: number): { value: number; slope: number } => {
    const h = x[i + 1]! - x[i]!;
    const b = (at - x[i]!) / h;
    const a = 1 - b;
    return {
      value: a * y[i]! + b * y[i + 1]! + (((a ** 3 - a) * bend[i]! + (b ** 3 - b) * bend[i + 1]!) * h * h) / 6,
      slope: (y[i + 1]! - y[i]!) / h + (((1 - 3 * a * a) * bend[i]! + (3 * b * b - 1) * bend[i + 1]!) * h) / 6,
    };
  };
  const at = (r: number): { value: number; slope: number } => {
    const held = Math.min(Math.max(r, x[0]!), x[last]!);
    const { value, slope } = inside(pieceOf(held), held);
    return { value: value + slope * (r - held), slope };
  };
  return { value: (r) => at(r).value, slope: (r) => at(r).slope };
}

function secondDerivatives(x: ArrayLike<number>, y: ArrayLike<number>): Float64Array {
  const size = x.length;
  const bend = new Float64Array(size);
  const carry = new Float64Array(size);
  if (size < 3) return bend;
  // bend[i] holds the share of the next one until the way back: the first equals its neighbour, and so does the last.
  bend[0] = 1;
  for (let i = 1; i < size - 1; i++) {
    const share = (x[i]! - x[i - 1]!) / (x[i + 1]! - x[i - 1]!);
    const pivot = share * bend[i - 1]! + 2;
    bend[i] = (share - 1) / pivot;
    const kink = (y[i + 1]! - y[i]!) / (x[i + 1]! - x[i]!) - (y[i]! - y[i - 1]!) / (x[i]! - x[i - 1]!);
    carry[i] = ((6 * kink) / (x[i + 1]! - x[i - 1]!) - share * carry[i - 1]!) / pivot;
  }
  bend[size - 1] = carry[size - 2]! / (1 - bend[size - 2]!);
  for (let i = size - 2; i >= 0; i--) bend[i] = bend[i]! * bend[i + 1]! + carry[i]!;
  return bend;
}
