/** The measurement as it stands on this page, what it comes to, and what can be done to it. */
import { computed, effect, signal } from '@preact/signals';
import type { ReferenceKind } from '../../planner/figure/reference';
import type { Figure } from '../../planner/figure/types';
import type { Shelf } from '../../planner/shelf/types';
import { begin, type History, record, redo, settle, undo } from '../plan/history';
import { Latest } from '../plan/latest';
import { unit } from '../settings';
import { inUnitOf, type MeasureDraft, newReadings, type ReadingsDraft } from './draft';
import { type Judged, judge } from './judge';
import { keepDraft, keptDraft } from './kept';
import type { Ask, Reckoned, ReduceAsk } from './reckon';

export const history = signal<History<MeasureDraft> | null>(null);
/** What lies on the host's shelf; the same object as long as it is the same shelf. */
export const shelf = signal<Shelf | null>(null);
/** From what heights are counted in the drawing and in the numbers. */
export const reference = signal<ReferenceKind>('highest under');
/** Where a person left off reading: the take whose particulars are shown. */
export const currentTake = signal<number>(1);
export const figure = signal<Figure | null>(null);
/** Whether what is shown is still being reckoned anew. */
export const reducing = signal(false);
export const failed = signal<string | null>(null);

export const draft = computed<MeasureDraft | null>(() => history.value?.now ?? null);
const NOTHING: Judged = { complaints: [], measurement: null, counted: [], begun: [] };
export const judged = computed<Judged>(() => {
  return draft.value && shelf.value ? judge(draft.value, shelf.value) : NOTHING;
});
const complaintsByField = computed(() => {
  const found = new Map<string, string[]>();
  for (const { field, message } of judged.value.complaints) found.set(field, [...(found.get(field) ?? []), message]);
  return found;
});
const NONE: readonly string[] = [];

export function complaintsAt(field: string): readonly string[] {
  return complaintsByField.value.get(field) ?? NONE;
}

/** Begins with what this browser kept, else with an empty sheet. */
export function startWith(known: Shelf): void {
  shelf.value = known;
  if (history.value !== null) return;
  const glass = Object.values(known.glasses)[0];
  if (!glass) return;
  const empty = newReadings(glass, unit.value ?? 'mm');
  history.value = begin(keptDraft(empty, localStorage) ?? empty);
}

export function change(edit: (now: MeasureDraft) => MeasureDraft, gesture: string | null = null): void {
  const before = history.value;
  if (before !== null) history.value = record(before, edit(before.now), gesture);
}

export function changeReadings(edit: (now: ReadingsDraft) => ReadingsDraft, gesture: string | null = null): void {
  change((now) => (now.kind === 'readings' ? edit(now) : now), gesture);
}

export function replaceDraft(next: MeasureDraft): void {
  change(() => next);
  if (next.kind === 'readings') currentTake.value = next.takes[0]?.id ?? 1;
}

function step(way: (before: History<MeasureDraft>) => History<MeasureDraft>): void {
  if (history.value !== null) history.value = way(history.value);
}

export const settleChange = (): void => step(settle);
export const undoChange = (): void => step(undo);
export const redoChange = (): void => step(redo);

/** A worker of this page's own kind. */
export function startWorker(take: (answer: Reckoned) => void, broken: () => void): Worker {
  const worker = new Worker(new URL('./reckon-worker.ts', import.meta.url), { type: 'module' });
  worker.addEventListener('message', ({ data }: MessageEvent<Reckoned>) => take(data));
  worker.addEventListener('error', broken);
  return worker;
}

export const WORKER_IS_GONE =
  'The part of this page that reckons did not start. Load the page anew; what you entered is kept.';

let started = false;

/** Keeps the figure up with the fields, and the fields in the unit that is chosen. */
export function keepReducing(): void {
  if (started) return;
  started = true;
  let number = 0;
  const latest = new Latest<Ask>((ask) => worker.postMessage(ask));
  const worker = startWorker(
    (answer) => {
      if (answer.ask !== 'reduce') return;
      if (answer.number === number) {
        reducing.value = false;
        failed.value = 'failed' in answer ? answer.failed : null;
        figure.value = 'failed' in answer ? null : answer.figure;
      }
      latest.answered();
    },
    () => {
      failed.value = WORKER_IS_GONE;
      latest.answered();
    },
  );
  effect(() => {
    const { measurement } = judged.value;
    number += 1;
    if (measurement === null) {
      figure.value = null;
      reducing.value = false;
      return;
    }
    reducing.value = true;
    const ask: ReduceAsk = { ask: 'reduce', number, measurement, reference: reference.value };
    latest.ask(ask);
  });
  effect(() => {
    if (draft.value !== null) keepDraft(draft.value, localStorage);
  });
  effect(() => {
    const wanted = unit.value;
    const now = history.value;
    if (wanted === null || now?.now.kind !== 'readings' || now.now.unit === wanted) return;
    // Another unit is no change of the measurement: what can be undone is turned with it.
    const turned = (one: MeasureDraft): MeasureDraft => (one.kind === 'readings' ? inUnitOf(one, wanted) : one);
    history.value = { ...now, past: now.past.map(turned), now: turned(now.now), future: now.future.map(turned) };
  });
}
