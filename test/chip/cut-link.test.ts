/** The host is gone, at every segment border and at random moments: at rest, on the path, before the queue ends; then exact. */
import { expect, it } from 'vitest';
import { expectTheEnd, leaveAloneAt, shortWalk, walkAll } from './cut-link';

const walk = shortWalk();

it('left alone at every segment border it rests on the path before the queue ends, and ends exactly after going on', () => {
  const borders = new Set<number>();
  let sum = 0;
  for (const segment of walk.segments) {
    sum += segment[0]!;
    borders.add(sum);
  }
  expect(walk.segments.length).toBeLessThanOrEqual(1_000);
  let cuts = 0;
  let slowest = 0;
  const end = walkAll(walk, (follower, pushed) => {
    if (!borders.has(follower.walked)) return;
    cuts++;
    const alone = follower.fork();
    slowest = Math.max(slowest, alone.leaveAlone());
    expect(alone.worstSteps).toBeLessThanOrEqual(1.500001);
    if (cuts % 10 !== 0) return;
    alone.goOn(pushed);
    expectTheEnd(walk, alone);
  });
  expectTheEnd(walk, end);
  expect(cuts).toBe(walk.segments.length);
  // Half a second of silence, half a second of ramp (SPEC 3), and the level's own rounding.
  expect(slowest / 40_000).toBeLessThan(1.05);
  expect(end.host.status.underruns).toBe(0);
});

it('the same at 300 random ticks', () => {
  expect(leaveAloneAt(walk, 300, 7)).toBe(300);
});
