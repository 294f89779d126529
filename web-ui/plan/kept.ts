/** The plan outlives a reload of its page: this browser tab keeps it, another tab has its own. */
import { type Drawer, isAlike, lookUp, put } from '../drawer';
import { type Draft, firstStint, type RepeatDraft, type StepDraft, type StintDraft, writtenStints } from './draft';
import type { Edited } from './edits';

const KEY = 'wholeturn.plan';

export function keep(edited: Edited, storage: Drawer): void {
  put(KEY, edited, storage);
}

/**
 * What was kept, or null where there is nothing or it was kept by another edition of this page.
 *
 * @param like a draft of this edition, which a kept one must be alike
 */
export function kept(like: Draft, storage: Drawer): Edited | null {
  const found = lookUp(KEY, storage) as Partial<Edited> | null;
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
