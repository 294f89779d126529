/** Asking for a suggestion: what the person wants, what is wrong with that, and how far the answer is. */
import { effect, signal } from '@preact/signals';
import type { Figure } from '../../planner/figure/types';
import type { Lap, Shelf } from '../../planner/shelf/types';
import type { Stand } from '../../planner/stand/types';
import type { LapKnowledge } from '../../planner/suggest/suggest';
import type { TargetChoice } from '../../planner/suggest/target';
import { isAlike, lookUp, put } from '../drawer';
import { A_MINUTE, COEFFICIENT, numberTrouble, RPM, type ShownUnit, understood } from '../plan/number-entry';
import type { SuggestAsk } from './reckon';
import { startWorker, WORKER_IS_GONE } from './store';
import type { Suggested } from './suggested';

export type Way = 'everything' | 'enough' | 'local';

export interface Wish {
  /** Empty: the best of all on the shelf. */
  lapId: string;
  /** Empty: not said. */
  slurryId: string;
  turntable: string;
  rate: string;
  /** Wavefront from high to low that is good enough, waves. */
  enough: string;
  /** How far below the target it may cut, nm. */
  margin: string;
  way: Way;
  /** Whether the person gives the coefficient, instead of what runs taught. */
  given: boolean;
  coefficient: string;
  /** How well it is known, percent. */
  doubt: string;
}

const WAVES: ShownUnit = { word: 'wave', per: 1, step: 0.01, digits: 4 };
const NM: ShownUnit = { word: 'nm', per: 1, step: 1, digits: 1 };
const PERCENT: ShownUnit = { word: '%', per: 1, step: 1, digits: 1 };

/** Field of a wish, its unit, and between which values it makes sense. */
export const WISHED = {
  turntable: [RPM, 0.05, 60],
  rate: [A_MINUTE, 1, 400],
  enough: [WAVES, 0.005, 5],
  margin: [NM, 0, 100],
  coefficient: [COEFFICIENT, 1e-15, 1e-10],
  doubt: [PERCENT, 1, 200],
} as const satisfies Partial<Record<keyof Wish, readonly [ShownUnit, number, number]>>;

/** 2.5 rpm, 44 strokes a minute, an eighth of a wave and 2 nm, as the verb `suggest` begins with. */
export const FIRST_WISH: Wish = {
  lapId: '',
  slurryId: '',
  turntable: '2.5',
  rate: '44',
  enough: '0.125',
  margin: '2',
  way: 'everything',
  given: false,
  coefficient: '8.06',
  doubt: '20',
};

const KEY = 'wholeturn.wish';

function keptWish(): Wish {
  const found = lookUp(KEY, localStorage);
  return isAlike(found, FIRST_WISH) ? found : FIRST_WISH;
}

export const wish = signal<Wish>(FIRST_WISH);
export const progress = signal<'idle' | 'working' | 'done'>('idle');
export const atOnce = signal<Extract<Suggested, { stage: 'at once' }> | null>(null);
export const whole = signal<Extract<Suggested, { stage: 'whole' }> | null>(null);
export const adviceFailed = signal<string | null>(null);
/** What the answer was worked out for: another figure or another wish makes it old. */
export const answered = signal<{ figure: Figure; wish: Wish } | null>(null);

/** Why a wish cannot be taken, at its field; null where it can. */
export function wishTrouble(wished: Wish, field: keyof typeof WISHED): string | null {
  if ((field === 'coefficient' || field === 'doubt') && !wished.given) return null;
  const [unit, least, most] = WISHED[field];
  return numberTrouble(understood(wished[field], unit), unit, least, most);
}

export function canAsk(wished: Wish): boolean {
  return (Object.keys(WISHED) as (keyof typeof WISHED)[]).every((field) => wishTrouble(wished, field) === null);
}

function numberOf(wished: Wish, field: keyof typeof WISHED): number {
  return understood(wished[field], WISHED[field][0]) ?? Number.NaN;
}

export function enoughNm(wished: Wish, wavelengthNm: number): number {
  return (numberOf(wished, 'enough') * wavelengthNm) / 2;
}

export function choiceOf(wished: Wish, wavelengthNm: number): Pick<TargetChoice, 'downTo' | 'allowedLowNm'> {
  if (wished.way === 'local') return { downTo: 'most of the area', allowedLowNm: 0 };
  const allowedLowNm = wished.way === 'enough' ? enoughNm(wished, wavelengthNm) : 0;
  return { downTo: 'lowest zone', allowedLowNm };
}

export function lapsOf(wished: Wish, shelf: Shelf): Lap[] {
  const one = shelf.laps[wished.lapId];
  return one ? [one] : Object.values(shelf.laps);
}

/** Coefficient of a lap for this wish: as the person says, or as known. */
export function coefficientOf(wished: Wish, known: LapKnowledge): LapKnowledge {
  if (!wished.given) return known;
  return { kPerPa: numberOf(wished, 'coefficient'), sigma: numberOf(wished, 'doubt') / 100, runs: 0 };
}

/** What is asked of the worker; pure. */
export function askFor(
  number: number,
  wished: Wish,
  at: { figure: Figure; shelf: Shelf; stand: Stand; known: (lap: Lap) => LapKnowledge },
): SuggestAsk {
  const { figure, shelf, stand } = at;
  const laps = lapsOf(wished, shelf);
  return {
    ask: 'suggest',
    number,
    request: {
      figure,
      laps,
      slurryId: wished.slurryId === '' ? null : wished.slurryId,
      shelf,
      stand,
      turntableRpm: numberOf(wished, 'turntable'),
      strokesPerMinute: numberOf(wished, 'rate'),
      enoughNm: enoughNm(wished, figure.wavelengthNm),
      marginNm: numberOf(wished, 'margin'),
      ...choiceOf(wished, figure.wavelengthNm),
    },
    known: Object.fromEntries(laps.map((lap) => [lap.id, coefficientOf(wished, at.known(lap))])),
  };
}

let worker: Worker | null = null;
let number = 0;

function take(answer: Suggested): void {
  if (answer.stage === 'at once') atOnce.value = answer;
  else {
    whole.value = answer;
    progress.value = 'done';
  }
}

function fail(words: string): void {
  adviceFailed.value = words;
  progress.value = 'idle';
}

export function askForAdvice(at: Parameters<typeof askFor>[2]): void {
  worker ??= startWorker(
    (answer) => {
      if (answer.ask !== 'suggest' || answer.number !== number) return;
      if ('failed' in answer) fail(answer.failed);
      else take(answer);
    },
    () => {
      worker = null;
      fail(WORKER_IS_GONE);
    },
  );
  number += 1;
  atOnce.value = null;
  whole.value = null;
  adviceFailed.value = null;
  answered.value = { figure: at.figure, wish: wish.value };
  progress.value = 'working';
  worker.postMessage(askFor(number, wish.value, at));
}

/** A solver cannot be asked to stop; its worker can be let go. */
export function stopAdvice(): void {
  worker?.terminate();
  worker = null;
  progress.value = 'idle';
}

let keeping = false;

export function keepWishes(slurryId: string): void {
  if (keeping) return;
  keeping = true;
  const kept = keptWish();
  wish.value = kept === FIRST_WISH ? { ...FIRST_WISH, slurryId } : kept;
  effect(() => put(KEY, wish.value, localStorage));
}
