/** The plan as it stands on this page, its forecasts, and what can be done to it. */
import { computed, effect, signal } from '@preact/signals';
import type { Stand } from '../../planner/stand/types';
import { standing } from '../settings';
import { REMOVAL_COEFFICIENT } from './assumptions';
import { checkDraft, limitComplaint, type PlanComplaint, refusalComplaint } from './complaints';
import { type Draft, programOf, type StintDraft, totalTurns, writtenStints } from './draft';
import { changeStint, type Edited, shownStint } from './edits';
import type { Forecast, ForecastAsk } from './forecast';
import type { Reckoned } from './forecast-worker';
import { begin, type History, record, redo, settle, undo } from './history';
import { keep, kept } from './kept';
import { Latest } from './latest';
import type { Pinned } from './plan-words';

export const history = signal<History<Edited> | null>(null);
/** The stand it is planned for; the same object as long as it is the same stand. */
export const stand = signal<Stand | null>(null);
export const kPerPa = signal<number>(REMOVAL_COEFFICIENT.usual);
export const pinned = signal<Pinned | null>(null);
/** Follows every change at once. */
export const light = signal<Forecast | null>(null);
/** With pattern, harmonics and remainders; null from a change until it is reckoned anew. */
export const whole = signal<Forecast | null>(null);
/** Why a forecast could not be reckoned, in words. */
export const failed = signal<string | null>(null);

const draft = computed(() => history.value?.now.draft ?? null);
export const checked = computed<PlanComplaint[]>(() => (draft.value ? checkDraft(draft.value) : []));

/** All complaints about the plan as it stands. */
export const complaints = computed<PlanComplaint[]>(() => {
  if (checked.value.length > 0) return checked.value;
  const forecast = light.value;
  return forecast ? [...forecast.limits.map(limitComplaint), ...forecast.refused.map(refusalComplaint)] : [];
});

/** Begins with what this tab kept of a plan, else with the given one. */
export function startWith(first: Draft): void {
  history.value = begin(kept(first, sessionStorage) ?? beginningOf(first));
}

/** Replaces the plan; can be undone. */
export function replaceDraft(next: Draft): void {
  if (history.value === null) history.value = begin(beginningOf(next));
  else change(() => beginningOf(next));
}

function beginningOf(draft: Draft): Edited {
  return { draft, selected: writtenStints(draft)[0]!.id };
}

export function change(edit: (now: Edited) => Edited, gesture: string | null = null): void {
  const before = history.value;
  if (before === null) return;
  const next = edit(before.now);
  if (next.draft !== before.now.draft) history.value = record(before, next, gesture);
}

export function changeDraft(part: Partial<Draft>, gesture: string | null = null): void {
  change(({ draft, selected }) => ({ draft: { ...draft, ...part }, selected }), gesture);
}

/** Changes the stint that is looked at. */
export function changeShown(part: Partial<StintDraft>, gesture: string | null = null): void {
  change(
    ({ draft, selected }) => ({ draft: changeStint(draft, shownStint(draft, selected).id, part), selected }),
    gesture,
  );
}

/** Selecting is no change: it is not undone. */
export function select(id: number): void {
  const before = history.value;
  if (before !== null) history.value = { ...settle(before), now: { ...before.now, selected: id } };
}

function step(way: (before: History<Edited>) => History<Edited>): void {
  if (history.value !== null) history.value = way(history.value);
}

export const settleChange = (): void => step(settle);
export const undoChange = (): void => step(undo);
export const redoChange = (): void => step(redo);

/** How long a person must pause before the whole forecast is reckoned. */
const PAUSE_MS = 200;

class Reckoner {
  private readonly worker = new Worker(new URL('./forecast-worker.ts', import.meta.url), { type: 'module' });
  private readonly latest = new Latest<ForecastAsk>((ask) => this.worker.postMessage(ask));

  constructor(take: (forecast: Forecast) => void) {
    this.worker.addEventListener('message', ({ data }: MessageEvent<Reckoned>) => {
      if ('forecast' in data) {
        failed.value = null;
        take(data.forecast);
      } else failed.value = data.failed;
      this.latest.answered();
    });
    this.worker.addEventListener('error', () => {
      failed.value = 'The part of this page that reckons forecasts did not start. Load the page anew.';
      this.latest.answered();
    });
  }

  ask(ask: ForecastAsk): void {
    this.latest.ask(ask);
  }
}

let started = false;

/** Keeps the forecasts up with the plan. Two workers, so that a long forecast never holds up the light one. */
export function keepForecasting(): void {
  if (started) return;
  started = true;
  let number = 0;
  let pause: ReturnType<typeof setTimeout> | undefined;
  let before: unknown[] = [];
  const lightly = new Reckoner((forecast) => (light.value = forecast));
  effect(() => {
    if (history.value !== null) keep(history.value.now, sessionStorage);
  });
  const wholly = new Reckoner((forecast) => {
    if (forecast.number === number) whole.value = forecast;
  });
  effect(() => {
    const now = history.value?.now;
    const on = stand.value;
    const settings = { kPerPa: kPerPa.value, standing: standing.value };
    if (!now || !on) return;
    // Looking at another stint changes what is shown of the plan, not the plan.
    const basis = [now.draft, on, settings.kPerPa, settings.standing];
    const changed = basis.some((each, index) => each !== before[index]);
    before = basis;
    if (changed) {
      clearTimeout(pause);
      whole.value = null;
      number += 1;
    }
    if (checked.value.length > 0) {
      light.value = null;
      return;
    }
    const stint = writtenStints(now.draft).indexOf(shownStint(now.draft, now.selected)) + 1;
    const ask = { number, program: programOf(now.draft), stand: on, stint, ...settings };
    lightly.ask({ ...ask, whole: false });
    if (changed) pause = setTimeout(() => wholly.ask({ ...ask, whole: true }), PAUSE_MS);
  });
}

export function turnsOfPlan(): number {
  return draft.value ? totalTurns(draft.value) : 0;
}
