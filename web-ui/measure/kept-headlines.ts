/** What each kept measurement says, reckoned beside the page, one after the other; a kept measurement never changes. */
import { effect, signal } from '@preact/signals';
import type { KeptMeasurement } from '../../firmware-host/server/messages';
import { readMeasurement } from '../../planner/figure/read-measurement';
import type { Shelf } from '../../planner/shelf/types';
import { shelf, startWorker } from './store';
import { workbook } from './workbook';

/** By the number; empty where it cannot be read with the shelf there is. */
export const headlines = signal<ReadonlyMap<number, string>>(new Map());

let worker: Worker | null = null;
let started = false;

function say(id: number, words: string): void {
  headlines.value = new Map([...headlines.value, [id, words]]);
}

function next(measurements: readonly KeptMeasurement[], known: Shelf): void {
  const one = measurements.find(({ id }) => !headlines.value.has(id));
  if (one === undefined) {
    worker?.terminate();
    worker = null;
    return;
  }
  const { measurement } = readMeasurement(one.text, '', known, () => null);
  if (measurement === null) {
    say(one.id, '');
    return;
  }
  worker ??= startWorker(
    (answer) => {
      if (answer.ask === 'reduce')
        say(answer.number, 'failed' in answer ? '' : (answer.figure.findings[0]?.words ?? ''));
    },
    () => say(one.id, ''),
  );
  worker.postMessage({ ask: 'reduce', number: one.id, measurement, reference: 'best fit' });
}

export function keepHeadlines(): void {
  if (started) return;
  started = true;
  effect(() => {
    const measurements = workbook.value?.measurements ?? [];
    if (shelf.value !== null) next(measurements, shelf.value);
  });
}
