/** What all findings share. */
import type { Figure } from './types';

export type Unworded = Omit<Figure, 'findings'>;

/** Smaller than this nobody acts on, whatever the band says; nm on the glass. */
export const LEAST_NM = 4;

export function nm(value: number): string {
  return `${value < 9.95 ? value.toFixed(1) : value.toFixed(0)} nm`;
}

export function fixed(value: number, digits: number): string {
  return String(Number(value.toFixed(digits)) + 0);
}

export function median(values: readonly number[]): number {
  return [...values].sort((a, b) => a - b)[values.length >> 1] ?? 0;
}
