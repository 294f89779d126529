/** A sample of what the proof set does byte by byte; the rows of the logbook all of them. */
import { expect, test } from 'vitest';
import { failureWords } from './campaign';
import { cutAfter, killedAtRow } from './cuts';

test.each([1, 2, 3, 5, 8, 13, 40, 74, 75, 300, 1000, 2000])(
  'the line cut after byte %i of a walk, either way',
  async (bytes) => {
    for (const way of ['toStand', 'toHost'] as const) {
      const { result, cut } = await cutAfter(bytes, way);
      expect(cut).toBe(true);
      expect(result.wrong.length === 0 ? '' : failureWords(result)).toBe('');
    }
  },
);

test('a walk has an end: a cut beyond its bytes never comes', async () => {
  const { result, cut } = await cutAfter(1e9, 'toStand');
  expect(cut).toBe(false);
  expect(result.wrong).toEqual([]);
});

test('the line cut at each byte about the emptying of the queue at the end', async () => {
  const isDone = async (bytes: number): Promise<boolean> => {
    const { result } = await cutAfter(bytes, 'toStand');
    expect(result.wrong.length === 0 ? '' : failureWords(result)).toBe('');
    const { events } = result;
    const lost = events.findIndex((words) => words.startsWith('The line to the stand'));
    return events.slice(0, lost === -1 ? undefined : lost).includes('Done');
  };
  // About the first byte that was not missed; each number of bytes has a seed of its own, so it is not the same byte for all.
  let missed = 5000;
  let enough = 20_000;
  while (enough - missed > 1) {
    const middle = Math.floor((missed + enough) / 2);
    if (await isDone(middle)) enough = middle;
    else missed = middle;
  }
  for (let bytes = enough - 50; bytes < enough + 10; bytes++) await isDone(bytes);
});

test.each(['before', 'after'] as const)('the host gone %s each row of the logbook in turn', async (when) => {
  let row = 1;
  for (; ; row++) {
    const { result, killed } = await killedAtRow(row, when);
    expect(result.wrong.length === 0 ? '' : failureWords(result)).toBe('');
    if (!killed) break;
  }
  expect(row).toBeGreaterThan(10);
});
