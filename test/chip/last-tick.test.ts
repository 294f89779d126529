/** A walk may come to stand before the very last path tick of a segment: inputs are looked at there as anywhere else. */
import { expect, test } from 'vitest';
import { DeskHost, INPUT, TYPE } from './desk-host';

const GUARD = 3;

/** Eased at one moment after another until one path tick is left of the segment in which it stands. */
function standingBeforeTheLastTick(): DeskHost {
  for (let ticks = 0; ticks < 200; ticks++) {
    const host = new DeskHost().ready({ rampMs: 100 });
    host.push(Array.from({ length: 112 }, () => [160, 0, 0, 10, 0, 0, 0, 0]));
    host.pace(64);
    host.ms(50);
    host.ticks(ticks);
    host.ease();
    host.untilRest();
    if (host.status.place.left === 1) return host;
  }
  throw new Error('it never stood with one tick left');
}

test('a guard that opens while it stands there is latched, and one that is closed again can be cleared', () => {
  const host = standingBeforeTheLastTick();
  host.board.force(INPUT.guard);
  host.ms(50);
  expect(host.status).toMatchObject({ stop: GUARD, drives: false });
  host.board.force(0);
  host.ms(50);
  expect(host.ask(TYPE.clear)).toBeNull();
  expect(host.status.stop).toBe(0);
});
