/** The host is gone at 10,000 random moments of a walk: at rest on the path before the queue ends, exact after going on. */
import { expect, it } from 'vitest';
import { leaveAloneAt, shortWalk } from '../chip/cut-link';

it('at 10,000 random path ticks', () => {
  const walk = shortWalk();
  expect(leaveAloneAt(walk, 10_000, 20_261)).toBe(10_000);
});
