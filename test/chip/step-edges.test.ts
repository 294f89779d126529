import { describe, expect, it } from 'vitest';
import { DeskHost } from './desk-host';
import { Seeded } from './seeded';
import { SegmentSource } from './segments';

describe('STEP and DIR', () => {
  it.each([1, 2, 3, 4])('no axis steps on two ticks in a row, and DIR leads and trails every STEP (%i)', (seed) => {
    const random = new Seeded(seed);
    const source = new SegmentSource(random, 5);
    const host = new DeskHost().ready({ rampMs: 50 });
    host.board.recordSteps(true);
    const segments: number[][] = [];
    let edges = 0;
    const lastTick = [-9, -9, -9, -9, -9];
    const lastDirection = [0, 0, 0, 0, 0];
    let reversals = 0;
    host.pace(64);
    for (let round = 0; round < 80; round++) {
      if (host.status.free >= 14) {
        const more = Array.from({ length: 7 }, () => source.next());
        segments.push(...more);
        host.push([...more]);
      }
      host.ticks(500);
      for (const { tick, step, direction } of host.board.drainSteps()) {
        for (let axis = 0; axis < 5; axis++) {
          if (!((step >> axis) & 1)) continue;
          edges++;
          const gap = tick - lastTick[axis]!;
          expect(gap).toBeGreaterThanOrEqual(2);
          const way = (direction >> axis) & 1;
          // Both the last step before and the first after a reversal keep clear of the change of DIR between them.
          if (way !== lastDirection[axis]) {
            expect(gap).toBeGreaterThanOrEqual(4);
            reversals++;
          }
          lastTick[axis] = tick;
          lastDirection[axis] = way;
        }
      }
    }
    expect(edges).toBeGreaterThan(3000);
    expect(reversals).toBeGreaterThan(20);
  });

  it('makes the steps of a segment at the ticks the formula of SPEC 1 says', () => {
    const host = new DeskHost().ready({ rampMs: 50 });
    const random = new Seeded(7);
    const still = [255, 0, 0, 0, 0, 0, 0, 0];
    const ticks = random.whole(100, 255);
    const steps = [Math.floor(ticks / 2), 1, Math.floor(ticks / 3), Math.floor(ticks / 7), 5];
    host.board.recordSteps(true);
    host.push([
      ...Array.from({ length: 30 }, () => still),
      [ticks, 0, 0, ...steps],
      ...Array.from({ length: 60 }, () => still),
    ]);
    host.pace(64);
    host.ms(400);
    const events = host.board.drainSteps();
    for (let axis = 0; axis < 5; axis++) {
      const seen = events.filter(({ step }) => (step >> axis) & 1).map(({ tick }) => tick);
      const wanted = Array.from({ length: steps[axis]! }, (_, j) =>
        Math.ceil(((j + 1) * ticks - Math.floor(ticks / 2)) / steps[axis]!),
      );
      // At full pace path ticks are controller ticks; only where the segment begins is not known from outside.
      const start = seen[0]! - wanted[0]!;
      expect(seen).toEqual(wanted.map((tick) => tick + start));
    }
  });
});
