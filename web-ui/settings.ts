/** What a person chose once: kept in this browser. */
import { effect, signal } from '@preact/signals';
import type { Standing } from '../planner/removal/stint-forecast';
import type { LengthUnit } from './words';

export type Look = 'light' | 'dark' | 'red';

function stored<T extends string>(key: string, allowed: readonly T[]): T | null {
  const value = localStorage.getItem(`wholeturn.${key}`) as T | null;
  return value !== null && allowed.includes(value) ? value : null;
}

const prefersDark = matchMedia('(prefers-color-scheme: dark)').matches;

/** Null until the person has chosen: then the first visit asks. */
export const unit = signal<LengthUnit | null>(stored('unit', ['mm', 'in']));
export const look = signal<Look>(stored('look', ['light', 'dark', 'red']) ?? (prefersDark ? 'dark' : 'light'));
/** Where the person stands, for left and right; unless told otherwise so that the drawing lies as they see the glass. */
export const standing = signal<Standing>(
  stored('standing', ['working side', 'start of the stroke', 'end of the stroke']) ?? 'end of the stroke',
);
export const person = signal<string>(localStorage.getItem('wholeturn.person') ?? '');

effect(() => {
  document.documentElement.dataset.look = look.value;
  localStorage.setItem('wholeturn.look', look.value);
});
effect(() => {
  if (unit.value !== null) localStorage.setItem('wholeturn.unit', unit.value);
});
effect(() => {
  localStorage.setItem('wholeturn.person', person.value);
});
effect(() => {
  localStorage.setItem('wholeturn.standing', standing.value);
});
