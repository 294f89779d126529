import { describe, expect, it } from 'vitest';
import { DeskHost, TYPE } from './desk-host';
import { Seeded } from './seeded';

const RULE = { ticks: 1, flags: 2, directions: 3, steps: 4, sign: 6, rest: 7 };

/** The rules of SPEC 1 as they are written there; 0 = good. */
function brokenRule(segment: readonly number[], before: readonly number[] | null): number {
  const [ticks, flags, directions, ...steps] = segment as [number, number, number, ...number[]];
  if (ticks < 20) return RULE.ticks;
  if ((flags & ~1) !== 0) return RULE.flags;
  if (directions > 31) return RULE.directions;
  for (let axis = 0; axis < 5; axis++) {
    const made = steps[axis]!;
    if (made > ticks / 2) return RULE.steps;
    const turns = before !== null && ((directions ^ before[2]!) >> axis) & 1;
    if (turns && (4 * made > ticks || 4 * before![3 + axis]! > before![0]!)) return RULE.sign;
    if (flags === 1 && 16 * made > ticks) return RULE.rest;
  }
  return 0;
}

describe('segments the core takes', () => {
  it.each([
    ['too short', [19, 0, 0, 0, 0, 0, 0, 0], RULE.ticks],
    ['an unknown flag', [100, 2, 0, 0, 0, 0, 0, 0], RULE.flags],
    ['a direction of no axis', [100, 0, 0x20, 0, 0, 0, 0, 0], RULE.directions],
    ['more steps than half the ticks', [100, 0, 0, 0, 51, 0, 0, 0], RULE.steps],
    ['a rest at speed', [160, 1, 0, 11, 0, 0, 0, 0], RULE.rest],
  ])('refuses %s, and says which', (_name, segment, rule) => {
    const host = new DeskHost().ready();
    const good = [100, 0, 0, 0, 0, 0, 0, 0];
    const refused = host.ask(TYPE.segments, [...good, ...good, ...segment]);
    expect(refused).toEqual({ type: TYPE.segments, reason: 6, detail: 2 + 16 * rule });
    expect(host.status.accepted).toBe(0); // the frame is refused whole
    expect(host.status.seq).toBe(host.seq); // and its number used up
  });

  it('accepts the very edge of each rule', () => {
    const host = new DeskHost().ready();
    const edges = [
      [20, 0, 0, 10, 10, 10, 10, 10],
      [255, 0, 0, 127, 127, 127, 127, 127],
      [255, 0, 0, 63, 63, 63, 63, 63],
      [255, 0, 31, 63, 63, 63, 63, 63],
      [160, 1, 31, 10, 10, 10, 10, 10],
      [255, 0, 0, 127, 0, 0, 0, 0].map((byte, at) => (at === 2 ? 31 : byte)),
    ];
    expect(host.ask(TYPE.segments, edges.flat())).toBeNull();
    expect(host.status.accepted).toBe(6);
  });

  it('holds the first segment after an open or a flush against none before it', () => {
    const host = new DeskHost().ready();
    expect(host.ask(TYPE.segments, [100, 0, 31, 50, 50, 50, 50, 50])).toBeNull();
    expect(host.ask(TYPE.flush)).toBeNull();
    expect(host.ask(TYPE.segments, [100, 0, 0, 50, 50, 50, 50, 50])).toBeNull();
  });

  it('judges 3,000 random segments as the page does', () => {
    const random = new Seeded(20);
    const host = new DeskHost().ready();
    let before: number[] | null = null;
    const verdicts = new Map<number, number>();
    for (let i = 0; i < 3000; i++) {
      const ticks = random.chance(0.03) ? random.whole(0, 19) : random.whole(20, 255);
      const share = random.pick([0, 1 / 20, 1 / 8, 1 / 4, 0.5, 0.52]);
      const steps = Array.from({ length: 5 }, () => Math.min(255, Math.round(ticks * share * random.next() ** 0.2)));
      const directions: number = random.chance(0.4) ? random.whole(0, 31) : (before?.[2] ?? 0);
      const segment = [ticks, random.chance(0.2) ? 1 : 0, directions, ...steps];
      if (random.chance(0.02)) segment[1] = random.whole(2, 255);
      if (random.chance(0.02)) segment[2] = random.whole(32, 255);
      const rule = brokenRule(segment, before);
      verdicts.set(rule, (verdicts.get(rule) ?? 0) + 1);
      const refused = host.ask(TYPE.segments, segment);
      expect(refused).toEqual(rule === 0 ? null : { type: TYPE.segments, reason: 6, detail: 16 * rule });
      if (rule === 0) before = segment;
      if (rule !== 0 || host.status.free < 2) {
        expect(host.ask(TYPE.flush)).toBeNull();
        before = null;
      }
    }
    for (const rule of [0, ...Object.values(RULE)]) expect(verdicts.get(rule)).toBeGreaterThan(15);
  });

  it('refuses what the ring cannot hold, whole, and counts credits to the last one', () => {
    const host = new DeskHost().ready();
    const still = [255, 0, 0, 0, 0, 0, 0, 0];
    for (let i = 0; i < 18; i++) host.ask(TYPE.segments, Array.from({ length: 7 }, () => still).flat());
    // 126 accepted; the first of them is already fetched, so that 3 places are left.
    expect(host.status.free).toBe(3);
    expect(host.ask(TYPE.segments, [...still, ...still, ...still, ...still])).toMatchObject({ reason: 5 });
    expect(host.status.accepted).toBe(126);
  });
});
