/** What can be done to the list of stints. Every edit gives a new draft and leaves the old one as it was. */
import { type Draft, firstStint, type RepeatDraft, type StepDraft, type StintDraft, writtenStints } from './draft';

/** Lists inside lists; the reader of files follows eight. */
const DEEPEST = 7;

export interface Edited {
  draft: Draft;
  /** What is selected afterwards. */
  selected: number;
}

type Steps = readonly StepDraft[];

export function findStep(draft: Draft, id: number): StepDraft | null {
  const find = (steps: Steps): StepDraft | null => {
    for (const step of steps) {
      const found = step.id === id ? step : step.kind === 'repeat' ? find(step.steps) : null;
      if (found) return found;
    }
    return null;
  };
  return find(draft.steps);
}

/** The stint that a selection shows: itself, or the first one of a repeat. */
export function shownStint(draft: Draft, selected: number): StintDraft {
  const step = findStep(draft, selected);
  return (step && writtenStints({ steps: [step] })[0]) ?? writtenStints(draft)[0]!;
}

/** Replaces a step by steps (none takes it away); a repeat left empty goes too. */
function replace(steps: Steps, id: number, by: (step: StepDraft) => StepDraft[]): StepDraft[] {
  return steps.flatMap((step): StepDraft[] => {
    if (step.id === id) return by(step);
    if (step.kind === 'stint') return [step];
    const inner = replace(step.steps, id, by);
    return inner.length === 0 ? [] : [{ ...step, steps: inner }];
  });
}

export function changeStint(draft: Draft, id: number, change: Partial<Omit<StintDraft, 'kind' | 'id'>>): Draft {
  return {
    ...draft,
    steps: replace(draft.steps, id, (step) => [step.kind === 'stint' ? { ...step, ...change } : step]),
  };
}

export function changeTimes(draft: Draft, id: number, times: number): Draft {
  return {
    ...draft,
    steps: replace(draft.steps, id, (step) => [step.kind === 'repeat' ? { ...step, times } : step]),
  };
}

function freeId(draft: Draft): number {
  const ids = (steps: Steps): number[] =>
    steps.flatMap((step) => [step.id, ...(step.kind === 'repeat' ? ids(step.steps) : [])]);
  return Math.max(0, ...ids(draft.steps)) + 1;
}

/** A plain stint at the same setting, after what is selected. */
export function addAfter(draft: Draft, selected: number): Edited {
  const id = freeId(draft);
  const { settingMm, lengthMm, strokesPerMinute } = shownStint(draft, selected);
  const added: StintDraft = { ...firstStint(id, draft.glass, draft.lap), settingMm, lengthMm, strokesPerMinute };
  return { draft: { ...draft, steps: replace(draft.steps, selected, (step) => [step, added]) }, selected: id };
}

/** The same once more, after it. */
export function duplicate(draft: Draft, selected: number): Edited {
  let next = freeId(draft);
  const copy = (step: StepDraft): StepDraft => {
    const id = next++;
    return step.kind === 'stint' ? { ...step, id } : { ...step, id, steps: step.steps.map(copy) };
  };
  const id = next;
  return { draft: { ...draft, steps: replace(draft.steps, selected, (step) => [step, copy(step)]) }, selected: id };
}

/** Whether something would be left. */
export function mayRemove(draft: Draft, selected: number): boolean {
  const step = findStep(draft, selected);
  return step !== null && writtenStints({ steps: [step] }).length < writtenStints(draft).length;
}

/** Takes it away; what stood after it is selected, or what stood before. */
export function remove(draft: Draft, selected: number): Edited {
  if (!mayRemove(draft, selected)) return { draft, selected };
  const before = writtenStints(draft);
  const after = { ...draft, steps: replace(draft.steps, selected, () => []) };
  const left = writtenStints(after);
  const firstGone = before.findIndex(({ id }) => !left.some((each) => each.id === id));
  return { draft: after, selected: (left[firstGone] ?? left[left.length - 1])!.id };
}

/** Worked twice, to begin with. */
export function wrapInRepeat(draft: Draft, selected: number): Edited {
  const id = freeId(draft);
  if (depthOf(draft.steps, selected) >= DEEPEST) return { draft, selected };
  const steps = replace(draft.steps, selected, (step) => [{ kind: 'repeat', id, times: 2, steps: [step] }]);
  return { draft: { ...draft, steps }, selected: id };
}

/** The stints of a repeat, once. */
export function takeApart(draft: Draft, repeat: number): Edited {
  const step = findStep(draft, repeat);
  if (step?.kind !== 'repeat') return { draft, selected: repeat };
  return { draft: { ...draft, steps: replace(draft.steps, repeat, () => step.steps) }, selected: step.steps[0]!.id };
}

function depthOf(steps: Steps, id: number, depth = 1): number {
  for (const step of steps) {
    if (step.id === id) return depth + height(step);
    if (step.kind === 'stint') continue;
    const found = depthOf(step.steps, id, depth + 1);
    if (found > 0) return found;
  }
  return 0;
}

function height(step: StepDraft): number {
  return step.kind === 'stint' ? 0 : 1 + Math.max(...step.steps.map(height));
}

/**
 * One place earlier (-1) or later (1). At the border of a repeat it goes in or out, so that any order can be reached by moving alone.
 */
export function move(draft: Draft, id: number, way: 1 | -1): Draft {
  const moved = moveWithin(draft.steps, id, way, 1);
  return moved ? { ...draft, steps: moved } : draft;
}

export function mayMove(draft: Draft, id: number, way: 1 | -1): boolean {
  return move(draft, id, way) !== draft;
}

function moveWithin(steps: Steps, id: number, way: 1 | -1, depth: number): StepDraft[] | null {
  const at = steps.findIndex((step) => step.id === id);
  if (at >= 0) return moveAmong(steps, at, way, depth);
  for (const [index, step] of steps.entries()) {
    if (step.kind !== 'repeat') continue;
    const inside = moveWithin(step.steps, id, way, depth + 1);
    if (inside) return steps.with(index, { ...step, steps: inside });
    const edge = way === -1 ? step.steps[0] : step.steps[step.steps.length - 1];
    if (edge?.id === id) return leave(steps, index, step, edge, way);
  }
  return null;
}

function moveAmong(steps: Steps, at: number, way: 1 | -1, depth: number): StepDraft[] | null {
  const step = steps[at]!;
  const other = steps[at + way];
  if (other === undefined) return null;
  const rest = steps.filter((_, index) => index !== at);
  if (other.kind === 'repeat' && depth + 1 + height(step) <= DEEPEST) {
    const inner = way === -1 ? [...other.steps, step] : [step, ...other.steps];
    return rest.map((each) => (each === other ? { ...other, steps: inner } : each));
  }
  return rest.toSpliced(at + way, 0, step);
}

function leave(steps: Steps, index: number, from: RepeatDraft, step: StepDraft, way: 1 | -1): StepDraft[] {
  const inner = from.steps.filter((each) => each !== step);
  const left = inner.length === 0 ? [] : [{ ...from, steps: inner }];
  return steps.toSpliced(index, 1, ...(way === -1 ? [step, ...left] : [...left, step]));
}
