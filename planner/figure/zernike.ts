/**
 * Zernike polynomials on the unit disc: the three orders people number them in, and their values.
 *
 * Noll: R. J. Noll, J. Opt. Soc. Am. 66, 207 (1976), as the formula in OEIS A375779 and the triangle A176988. ANSI (also called
 * OSA): j = (n (n + 2) + m) / 2, OEIS A375779. Fringe: (1 + (n + |m|)/2)^2 - 2 |m| + (m < 0), OEIS A375510. m >= 0 is the cosine.
 */
export type ZernikeOrder = 'noll' | 'fringe' | 'ansi';

export interface Term {
  n: number;
  /** Negative for the sine. */
  m: number;
}

/** First index of an order: 0 for ANSI, 1 for the others. */
export function firstIndex(order: ZernikeOrder): number {
  return order === 'ansi' ? 0 : 1;
}

/** Index of (n, m) in an order. n - |m| must be even and not negative. */
export function indexOf(order: ZernikeOrder, { n, m }: Term): number {
  const size = Math.abs(m);
  if (order === 'ansi') return (n * (n + 2) + m) / 2;
  if (order === 'fringe') return (1 + (n + size) / 2) ** 2 - 2 * size + (m < 0 ? 1 : 0);
  const base = (n * (n + 1)) / 2 + size;
  // Within a degree the orders go by |m|; of a pair the even index is the cosine.
  if (m === 0) return base + 1;
  const even = base % 2 === 0 ? base : base + 1;
  return m > 0 ? even : even === base ? base + 1 : base;
}

/** The term behind an index; null where the index is not a whole number from the order's first on. */
export function termOf(order: ZernikeOrder, index: number): Term | null {
  if (!Number.isInteger(index) || index < firstIndex(order)) return null;
  if (order === 'noll') return nollTerm(index);
  if (order === 'ansi') {
    const n = Math.ceil((-3 + Math.sqrt(9 + 8 * index)) / 2);
    return { n, m: 2 * index - n * (n + 2) };
  }
  // Fringe groups by (n + |m|)/2 = q - 1: from q^2 downwards two for every |m|, ending with m = 0.
  const q = Math.ceil(Math.sqrt(index));
  const back = q * q - index;
  const size = Math.ceil(back / 2);
  return { n: 2 * (q - 1) - size, m: back % 2 === 1 ? -size : size };
}

function nollTerm(index: number): Term {
  const n = Math.floor((Math.sqrt(8 * index - 7) - 1) / 2);
  const size = (n % 2) + 2 * Math.floor((index - (n * (n + 1)) / 2 - 1 + ((n + 1) % 2)) / 2);
  return { n, m: index % 2 === 0 || size === 0 ? size : -size };
}

/** Factor that makes the mean square over the disc 1: sqrt(n + 1) for m = 0, sqrt(2 (n + 1)) otherwise. */
export function rmsFactor({ n, m }: Term): number {
  return Math.sqrt((m === 0 ? 1 : 2) * (n + 1));
}

/** Radial polynomial of unit value at rho = 1, by the stable three-term rule of Jacobi polynomials (up to n = 40 and beyond). */
export function radialValue({ n, m }: Term, rho: number): number {
  const size = Math.abs(m);
  const degree = (n - size) / 2;
  return rho ** size * jacobi(degree, size, 2 * rho * rho - 1);
}

/** P_k^(0, b)(x), Abramowitz & Stegun 22.7.1 (recalled, checked against the closed forms in the tests). */
function jacobi(k: number, b: number, x: number): number {
  let before = 1;
  if (k === 0) return before;
  let now = ((b + 2) * x - b) / 2;
  for (let i = 1; i < k; i++) {
    const c = 2 * i + b;
    const next =
      ((c + 1) * (c * (c + 2) * x - b * b) * now - 2 * i * (i + b) * (c + 2) * before) /
      (2 * (i + 1) * (i + b + 1) * c);
    before = now;
    now = next;
  }
  return now;
}

/** Value of the polynomial with unit mean square at (rho, theta); theta in radians. */
export function zernikeValue(term: Term, rho: number, theta: number): number {
  const angular = term.m >= 0 ? Math.cos(term.m * theta) : Math.sin(-term.m * theta);
  return rmsFactor(term) * radialValue(term, rho) * angular;
}
