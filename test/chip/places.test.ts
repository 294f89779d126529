import { describe, expect, it } from 'vitest';
import { DeskHost, INPUT, placeOf, TYPE } from './desk-host';
import { frame, word } from './frames';
import { Seeded } from './seeded';
import { SegmentSource } from './segments';

function source(seed: number): SegmentSource {
  return new SegmentSource(new Seeded(seed), 5);
}

function take(from: SegmentSource, count: number): number[][] {
  return Array.from({ length: count }, () => from.next());
}

const minus = (a: readonly number[], b: readonly number[]): number[] => a.map((value, axis) => value - b[axis]!);

describe('places', () => {
  it.each([1, 2, 3, 4, 5, 6])(
    'a flush mid-segment tells the place to the step, and counting starts afresh (%i)',
    (seed) => {
      const random = new Seeded(seed);
      const host = new DeskHost().ready({ rampMs: 60 });
      let start = host.positions();
      for (let round = 0; round < 6; round++) {
        const segments = take(source(seed * 100 + round), random.whole(60, 110));
        host.push(segments);
        host.pace(random.whole(8, 64));
        host.ticks(random.whole(2000, 9000));
        host.ease();
        host.untilRest();
        expect(host.ask(TYPE.flush)).toBeNull();
        const [low, high, left] = host.last(TYPE.flushed).body as [number, number, number];
        const begun = low | (high << 8);
        const made = minus(host.positions(), start);
        expect(made).toEqual([0, 1, 2, 3, 4].map((axis) => placeOf(segments, begun, left, axis)));
        expect(host.status).toMatchObject({ accepted: 0, place: { begun: 0, left: 0 }, free: 128, lost: false });
        start = host.positions();
        host.ms(100);
        expect(host.positions()).toEqual(start);
      }
    },
  );

  it('a flush in motion is refused', () => {
    const host = new DeskHost().ready();
    host.push(take(source(9), 100));
    host.pace(64);
    host.ms(100);
    expect(host.ask(TYPE.flush)).toMatchObject({ reason: 2 });
    expect(host.status.level).toBeGreaterThan(0);
  });

  it('every status names a place the axes have reached or reach within one tick', () => {
    const host = new DeskHost().ready({ rampMs: 60 });
    const segments = take(source(21), 119);
    host.push(segments);
    host.pace(64);
    for (let i = 0; i < 200; i++) {
      host.ticks(37);
      const { begun, left } = host.status.place;
      // The status is older than the axes; the place of an earlier instant lies behind them on the path.
      const walked = (b: number, l: number): number => segments.slice(0, b).reduce((sum, s) => sum + s[0]!, 0) - l;
      expect(walked(begun, left)).toBeLessThanOrEqual(walked(segments.length, 0) - host.board.raw.core_path_ticks());
    }
    host.untilRest();
    const { begun, left } = host.status.place;
    for (let axis = 0; axis < 5; axis++) {
      expect(host.board.position(axis)).toBe(placeOf(segments, begun, left, axis));
    }
  });

  it('a seek latches the place of the edge within two steps and eases on from there', () => {
    for (let seed = 1; seed <= 12; seed++) {
      const random = new Seeded(seed);
      const host = new DeskHost((board) => {
        board.fitMark(0, { turn: 289_281n, partsPerStep: 2, width: 600n, at: BigInt(random.whole(288_000, 289_000)) });
      }).ready({ rampMs: 80 });
      const before = host.board.markAt(0);
      const stepsToEdge = Number((289_281n - before + 1n) / 2n);
      const segment = [200, 0, 0, 100, 0, 0, 0, 0];
      host.push(Array.from({ length: 112 }, () => segment));
      host.send(TYPE.seek, [...word(INPUT.index), ...word(INPUT.index), 1]);
      host.pace(16);
      host.untilRest();
      const { seekLatched, seekPlace, indexCount, indexPlace } = host.status;
      expect(seekLatched).toBe(true);
      expect(indexCount).toBe(1);
      const segments = Array.from({ length: 112 }, () => segment);
      const at = placeOf(segments, seekPlace.begun, seekPlace.left, 0);
      // Two path ticks a step here; seven path ticks late would be four steps, but at this pace most ticks are none.
      expect(at - stepsToEdge).toBeGreaterThanOrEqual(0);
      expect(at - stepsToEdge).toBeLessThanOrEqual(2);
      expect(Math.abs(placeOf(segments, indexPlace.begun, indexPlace.left, 0) - stepsToEdge)).toBeLessThanOrEqual(2);
      expect(host.pace(16)).toMatchObject({ reason: 10 });
      host.send(TYPE.seek, [0, 0, 0, 0, 0]);
      expect(host.pace(16)).toBeNull();
    }
  });

  it('a seek for a reference among the slow inputs is as exact', () => {
    const host = new DeskHost((board) => {
      board.fitMark(3, { turn: 9600n, partsPerStep: 1, width: 100n, at: 9000n });
    }).ready({ rampMs: 80 });
    const segments = Array.from({ length: 119 }, () => [200, 0, 0, 0, 0, 0, 40, 0]);
    host.push(segments);
    host.send(TYPE.seek, [...word(INPUT.lapTurnReference), ...word(INPUT.lapTurnReference), 1]);
    host.pace(24);
    host.untilRest();
    const { seekPlace, seekLatched } = host.status;
    expect(seekLatched).toBe(true);
    expect(Math.abs(placeOf(segments, seekPlace.begun, seekPlace.left, 3) - 600)).toBeLessThanOrEqual(1);
  });

  it('a slide walks onto its limit and off it again under seeks, without a stop', () => {
    const host = new DeskHost((board) => board.fitLimits(1, -3000, 4000)).ready({ rampMs: 60 });
    const walk = (direction: number, levels: number): void => {
      host.send(TYPE.seek, [...word(INPUT.strokeLow), ...word(levels), 1]);
      host.push(Array.from({ length: 119 }, () => [200, 0, direction, 0, 40, 0, 0, 0]));
      host.pace(40);
      host.untilRest();
      expect(host.status.stop).toBe(0);
      expect(host.status.seekLatched).toBe(true);
      expect(host.ask(TYPE.flush)).toBeNull();
    };
    walk(0b10, INPUT.strokeLow);
    expect(host.board.position(1)).toBeLessThan(-3000);
    walk(0, 0);
    expect(host.board.position(1)).toBeGreaterThan(-3000);
  });

  it('a host that starts afresh is told the link and the place that stood', () => {
    const host = new DeskHost().ready({ rampMs: 60 });
    const segments = take(source(33), 100);
    host.push(segments);
    host.pace(64);
    host.ms(100);
    host.ease();
    host.untilRest();
    const made = host.positions();
    const { begun, left } = host.status.place;
    host.board.write(frame(TYPE.open, 0, 0, [77, 100, 500, 3000, 0].flatMap(word)));
    host.ms(10);
    const opened = host.last(TYPE.opened);
    expect(opened.link).toBe(77);
    expect(opened.body.slice(-5)).toEqual([...word(host.link), ...word(begun), left]);
    expect(made).toEqual([0, 1, 2, 3, 4].map((axis) => placeOf(segments, begun, left, axis)));
    expect(host.status.drives).toBe(true);
  });

  it('a snapshot of the virtual board goes on exactly as the board itself', () => {
    const host = new DeskHost().ready({ rampMs: 60 });
    host.push(take(source(41), 119));
    host.pace(64);
    host.ms(77);
    const kept = host.board.snapshot();
    const run = (): unknown[] => {
      host.board.recordSteps(true);
      host.board.run(9000);
      return [host.board.drainSteps(), host.positions(), [...host.board.read()]];
    };
    const first = run();
    host.board.restore(kept);
    expect(run()).toEqual(first);
    expect((first[0] as unknown[]).length).toBeGreaterThan(1000);
  });
});
