import { describe, expect, it } from 'vitest';
import { Rig } from '../support/rig';
import { concat, REST, segment } from '../support/segments';

describe('the virtual stand', () => {
  it('opens a link and says that it is virtual', async () => {
    const rig = new Rig();
    const identity = await rig.settle(
      rig.link.open({ rampMs: 500, hostSilentMs: 500, liftTimeoutMs: 3000, enableDelayMs: 250 }),
    );
    expect(identity).toMatchObject({
      words: 'Virtual stand (WebAssembly core)',
      virtual: true,
      protocol: 1,
      bootId: 0x0b00,
      bootCause: 'virtual',
      board: 'virtual board',
      axes: 5,
      tickHz: 40_000,
      before: null,
    });
  });

  it('walks segments to the step', async () => {
    const rig = new Rig();
    await rig.ready();
    const before = rig.stand.truth();
    const segments = concat([
      ...Array.from({ length: 600 }, (_, i) => segment(200, [50, i < 300 ? 15 : -15, i < 300 ? 3 : -3, 1])),
      REST,
    ]);
    rig.walk(segments);
    const after = rig.stand.truth();
    expect(after.steps.map((steps, axis) => steps - before.steps[axis]!)).toEqual([30_000, 0, 0, 600, 0]);
    expect(after.travel).toEqual([30_000, 9000, 1800, 600, 0]);
    expect(rig.refusals).toEqual([]);
    expect(rig.losses).toEqual([]);
    expect(Object.values(rig.link.counters()).every((count) => count === 0)).toBe(true);
  });
});
