/** A sample of what the proof set does byte by byte; the rows of the logbook all of them. */
import { expect, test } from 'vitest';
import { failureWords } from './campaign';
import { cutAfter, killedBeforeRow } from './cuts';

test.each([1, 2, 3, 5, 8, 13, 40, 74, 75, 300, 1000])(
  'the line cut after byte %i of a walk, either way',
  async (bytes) => {
    for (const way of ['toStand', 'toHost'] as const) {
      const result = await cutAfter(bytes, way);
      expect(result.wrong.length === 0 ? '' : failureWords(result)).toBe('');
    }
  },
);

test('the host gone before each row of the logbook in turn', async () => {
  let row = 1;
  for (; ; row++) {
    const { result, killed } = await killedBeforeRow(row);
    expect(result.wrong.length === 0 ? '' : failureWords(result)).toBe('');
    if (!killed) break;
  }
  expect(row).toBeGreaterThan(10);
});
