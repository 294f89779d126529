/** The plan outlives a reload of its page: this browser tab keeps it, another tab has its own. */
import { type Draft, firstStint, type RepeatDraft, type StepDraft, type StintDraft, writtenStints } from './draft';
import type { Edited } from './edits';

/** As much of the browser's storage as is needed. */
export interface Drawer {
  getItem(key: string): string | null;
  setItem(key: string, value: string): void;
}

const KEY = 'wholeturn.plan';

export function keep(edited: Edited, storage: Drawer): void {
  try {
    storage.setItem(KEY, JSON.stringify(edited));
  } catch {
    // A full or forbidden storage costs nothing but this convenience.
  }
}

/**
 * What was kept, or null where there is nothing or it was kept by another edition of this page.
 *
 * @param like a draft of this edition, which a kept one must be alike
 */
export function kept(like: Draft, storage: Drawer): Edited | null {
  let found: Partial<Edited> | null;
  try {
    found = JSON.parse(storage.getItem(KEY) ?? 'null');
  } catch {
    return null;
  }
  const draft = found?.draft;
  const alike =
    isAlike(draft, { ...like, slurry: null, steps: [] }) &&
    isAlike(draft.glass, like.glass) &&
    isAlike(draft.lap, like.lap) &&
    draft.steps.every((step) => isStep(step, firstStint(0, like.glass, like.lap)));
  if (!alike || typeof found?.selected !== 'number' || writtenStints(draft).length === 0) return null;
  return { draft, selected: found.selected };
}

function isStep(step: StepDraft, stint: StintDraft): boolean {
  if (step?.kind === 'stint') return isAlike(step, stint);
  const repeat: RepeatDraft = { kind: 'repeat', id: 0, times: 0, steps: [] };
  return isAlike(step, repeat) && step.steps.length > 0 && step.steps.every((each) => isStep(each, stint));
}

/** Whether it has all fields of the other, each of the same type; null stands for any type. */
export function isAlike<T extends object>(value: unknown, like: T): value is T {
  if (typeof value !== 'object' || value === null) return false;
  return Object.entries(like).every(([key, one]) => {
    const other = (value as Record<string, unknown>)[key];
    if (one === null || other === null) return other !== undefined && (one === null || typeof one === 'object');
    return typeof other === typeof one && Array.isArray(other) === Array.isArray(one);
  });
}
