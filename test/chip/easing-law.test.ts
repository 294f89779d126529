import { describe, expect, it } from 'vitest';
import { DeskHost, placeOf, TYPE } from './desk-host';
import { Seeded } from './seeded';
import { SegmentSource } from './segments';

/** S(k) of SPEC 3, from the page. */
function share(level: number): number {
  const x = level / 64;
  return Math.round(32768 * (3 * x * x - 2 * x * x * x));
}

function reach(level: number, rampMs: number): number {
  const interval = Math.floor((40 * rampMs + 32) / 64);
  let sum = level < 4 ? 0 : 1;
  for (let k = 4; k <= level; k++) sum += Math.ceil(((interval + 1) * share(k)) / 32768);
  return sum;
}

describe('the easing law', () => {
  it.each([50, 333, 500, 1500])('walks as far as SPEC 3 says when it ramps down (ramp of %i ms)', (rampMs) => {
    const host = new DeskHost();
    host.open({ rampMs });
    for (let level = 0; level <= 64; level++) {
      expect(host.board.raw.core_reach(level)).toBe(reach(level, rampMs));
    }
  });

  it.each([1, 2, 3, 4, 5, 6, 7, 8])(
    'is at rest, on the path, before the queue ends when the host falls silent (%i)',
    (seed) => {
      const random = new Seeded(seed);
      const host = new DeskHost().ready({ rampMs: random.whole(50, 500) });
      const source = new SegmentSource(random, 5);
      const segments = Array.from({ length: random.whole(20, 120) }, () => source.next());
      host.push(segments);
      host.send(TYPE.pace, [random.whole(4, 64), 0, 0]);
      // Nothing more comes from the host. Every tick: a queue that ends must find the walk at rest.
      const { raw } = host.board;
      let walked = 0;
      for (let tick = 0; tick < 120_000; tick++) {
        host.board.run(1);
        const level = raw.core_level();
        if (level > 0) {
          walked++;
          if (raw.core_path_ticks() === 0) throw new Error(`tick ${tick}: in motion with nothing left to walk`);
        }
      }
      host.ms(50);
      const { place, level, underruns, droopTicks } = host.status;
      expect(walked).toBeGreaterThan(100);
      expect(level).toBe(0);
      expect(underruns).toBe(1);
      expect(droopTicks).toBeGreaterThan(0);
      for (let axis = 0; axis < 5; axis++) {
        expect(host.board.position(axis)).toBe(placeOf(segments, place.begun, place.left, axis));
      }
    },
  );

  it('never lets the queue run out in motion, whatever host and line do (random pushes, paces, eases)', () => {
    let ticks = 0;
    let underruns = 0;
    for (let seed = 100; seed < 112; seed++) {
      const random = new Seeded(seed);
      const host = new DeskHost().ready({ rampMs: random.whole(50, 400) });
      const source = new SegmentSource(random, 5);
      const { raw } = host.board;
      while (host.board.now < 100_000) {
        const { free } = host.status;
        const roll = random.next();
        if (roll < (seed % 2 ? 0.6 : 0.1) && free >= 14) {
          host.send(TYPE.segments, Array.from({ length: random.whole(1, 7) }, () => source.next()).flat());
        } else if (roll < 0.8) host.send(TYPE.pace, [random.pick([0, 4, 20, 40, 64]), 0, host.eases]);
        else if (roll < 0.82) host.ease();
        for (let left = random.whole(50, 600); left > 0; left--) {
          host.board.run(1);
          ticks++;
          if (raw.core_level() > 0 && raw.core_path_ticks() === 0) throw new Error(`seed ${seed}: ran out in motion`);
        }
        host.ticks(8);
      }
      underruns += host.status.underruns;
      expect(host.status.stop).toBe(0);
    }
    expect(ticks).toBeGreaterThan(1_000_000);
    expect(underruns).toBeGreaterThan(0);
  });

  it('droops and recovers, and does not stop, when the host is late for a while', () => {
    const host = new DeskHost().ready();
    const segment = [250, 0, 0, 100, 60, 20, 10, 0];
    const fill = (): void => {
      while (host.status.free >= 7) {
        host.push(Array.from({ length: 7 }, () => segment));
        host.ms(4);
      }
    };
    fill();
    host.pace(64);
    for (let i = 0; i < 20; i++) {
      fill();
      host.ms(40);
    }
    expect(host.status.level).toBe(64);
    while (host.status.level > 30) host.ms(20); // the host hangs
    expect(host.status.droopTicks).toBeGreaterThan(0);
    for (let i = 0; i < 40; i++) {
      fill();
      host.ms(40);
    }
    expect(host.status.level).toBe(64);
    expect(host.status.underruns).toBe(0);
    expect(host.status.stop).toBe(0);
  });

  it('walks a path tick on every controller tick at full pace, and the share S of them at every level', () => {
    const host = new DeskHost().ready({ rampMs: 50 });
    const { raw } = host.board;
    const segment = [255, 0, 0, 0, 0, 0, 0, 0];
    for (const level of [4, 9, 17, 32, 50, 63, 64]) {
      while (host.status.free > 20) host.push(Array.from({ length: 7 }, () => segment));
      host.pace(level);
      host.ms(100);
      expect(raw.core_level()).toBe(level);
      const before = raw.core_path_ticks();
      host.board.run(8192);
      const walked = before - raw.core_path_ticks();
      expect(Math.abs(walked - (8192 * share(level)) / 32768)).toBeLessThanOrEqual(1);
    }
  });

  it('walks to a planned rest with a queue too short to stop in by itself, and stands there until asked', () => {
    const host = new DeskHost().ready();
    const segments = [
      [255, 0, 0, 100, 0, 0, 0, 0],
      [255, 1, 0, 15, 0, 0, 0, 0],
      [255, 0, 0, 100, 0, 0, 0, 0],
    ];
    host.push(segments);
    host.pace(64);
    host.untilRest();
    const { atRest, rests, underruns, target } = host.status;
    expect({ atRest, rests, underruns, target }).toEqual({ atRest: true, rests: 1, underruns: 0, target: 0 });
    expect(host.board.position(0)).toBe(115);
  });

  it('starts at level 4, leaves out 1 to 3 both ways, and changes by one level an update between', () => {
    const host = new DeskHost().ready({ rampMs: 100 });
    host.push(Array.from({ length: 120 }, () => [255, 0, 0, 0, 0, 0, 0, 0]));
    const seen: number[] = [];
    const watch = (ticks: number): void => {
      for (let i = 0; i < ticks; i++) {
        host.board.run(1);
        const level = host.board.raw.core_level();
        if (seen.at(-1) !== level) seen.push(level);
      }
    };
    host.send(TYPE.pace, [64, 0, 0]);
    watch(5000);
    host.ease();
    watch(5000);
    const up = [0, ...Array.from({ length: 61 }, (_, i) => i + 4)];
    expect(seen).toEqual([...up, ...up.slice(0, -1).reverse()]);
  });
});
