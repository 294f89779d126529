import { describe, expect, it } from 'vitest';
import { DeskHost, INPUT, placeOf, TYPE } from './desk-host';
import { frame, word } from './frames';
import { Seeded } from './seeded';
import { SegmentSource } from './segments';

const STOP = { halt: 1, fault: 2, guard: 3, limit: 4, lift: 5, reset: 6, segment: 7, link: 8 };

/** A host whose stand walks at full pace, and the segments it was given. */
function walking(seed: number, times = {}): { host: DeskHost; segments: number[][] } {
  const host = new DeskHost().ready({ rampMs: 100, ...times });
  const source = new SegmentSource(new Seeded(seed), 5);
  const segments = Array.from({ length: 119 }, () => source.next());
  host.push(segments);
  host.pace(64);
  host.ms(150);
  expect(host.status.level).toBe(64);
  return { host, segments };
}

function expectOnPath(host: DeskHost, segments: readonly number[][]): void {
  const { begun, left } = host.status.place;
  for (let axis = 0; axis < 5; axis++) {
    expect(host.board.position(axis)).toBe(placeOf(segments, begun, left, axis));
  }
}

describe('stops that take the drives off', () => {
  it.each([
    ['halt', INPUT.halt, STOP.halt],
    ['drive fault', INPUT.fault, STOP.fault],
  ])('%s: not one step edge in the tick that sees it, nor after', (_name, input, cause) => {
    for (let seed = 1; seed <= 20; seed++) {
      const { host } = walking(seed);
      host.board.run(new Seeded(seed).whole(0, 400));
      host.board.recordSteps(true);
      host.board.force(input);
      const seen = host.board.now;
      host.board.run(1);
      expect(host.board.drivesEnabled).toBe(false);
      host.ms(200);
      expect(host.board.drainSteps().filter(({ tick }) => tick >= seen)).toEqual([]);
      const { stop, drives, lost, level, target, stopPlace, place } = host.status;
      expect({ stop, drives, lost, level, target }).toEqual({
        stop: cause,
        drives: false,
        lost: true,
        level: 0,
        target: 0,
      });
      expect(stopPlace).toEqual(place);
    }
  });

  it('limit: stops within seven ticks, unless a seek has it in its mask', () => {
    const { host } = walking(3);
    host.board.recordSteps(true);
    host.board.force(INPUT.radialHigh);
    const seen = host.board.now;
    host.ms(50);
    expect(host.board.drainSteps().filter(({ tick }) => tick > seen + 7)).toEqual([]);
    expect(host.status.stop).toBe(STOP.limit);
    expect(host.board.drivesEnabled).toBe(false);
  });

  it('does not act on a drive fault while the drives are off, nor on a limit at rest', () => {
    const host = new DeskHost((board) => board.force(INPUT.fault | INPUT.strokeLow));
    host.open();
    host.ms(20);
    expect(host.status.stop).toBe(0);
    host.send(TYPE.drives, [1]);
    host.ms(20);
    expect(host.status.stop).toBe(STOP.fault);
  });

  it('halt pressed at boot stands latched, and clear is refused until it is released', () => {
    const host = new DeskHost((board) => board.force(INPUT.halt));
    host.open();
    expect(host.status.stop).toBe(STOP.halt);
    expect(host.ask(TYPE.drives, [1])).toMatchObject({ reason: 3 });
    expect(host.ask(TYPE.clear)).toMatchObject({ reason: 8, detail: STOP.halt });
    host.board.force(0);
    host.ms(1);
    expect(host.ask(TYPE.clear)).toBeNull();
    expect(host.status.stop).toBe(0);
    expect(host.status.drives).toBe(false);
  });

  it('clearing never starts anything', () => {
    const { host } = walking(5);
    host.board.force(INPUT.halt);
    host.ms(5);
    host.board.force(0);
    host.ms(5);
    expect(host.ask(TYPE.clear)).toBeNull();
    const before = host.positions();
    host.ms(500);
    expect(host.positions()).toEqual(before);
    expect(host.board.drivesEnabled).toBe(false);
    expect(host.pace(64)).toMatchObject({ reason: 4 });
  });
});

describe('stops that ease on the path', () => {
  it('guard: eases, then drives off and lap up', () => {
    const { host, segments } = walking(7);
    host.board.force(INPUT.guard);
    host.ms(20);
    expect(host.status.stop).toBe(STOP.guard);
    expect(host.status.level).toBeGreaterThan(0);
    expect(host.board.drivesEnabled).toBe(true);
    host.untilRest();
    expectOnPath(host, segments);
    const { drives, lost } = host.status;
    expect({ drives, lost }).toEqual({ drives: false, lost: true });
    expect(host.ask(TYPE.clear)).toMatchObject({ reason: 8, detail: STOP.guard });
  });

  it('a halt while the guard eases is the graver: it replaces it', () => {
    const { host } = walking(8);
    host.board.force(INPUT.guard);
    host.ms(20);
    host.board.force(INPUT.guard | INPUT.halt);
    host.ms(5);
    expect(host.status.stop).toBe(STOP.halt);
    expect(host.status.level).toBe(0);
  });

  it('a lap that does not come down in time stops the walk, drives held, and is lifted again', () => {
    const host = new DeskHost((board) => board.fitLift(4000, 1000)).ready({ liftMs: 200 });
    host.board.fitLift(4000, 1000, true);
    host.send(TYPE.lift, [0]);
    host.ms(150);
    expect(host.status.lift).toBe(4);
    host.ms(150);
    expect(host.status.stop).toBe(STOP.lift);
    expect(host.status.drives).toBe(true);
    expect(host.status.lift).toBe(1);
  });

  it('a lap that hangs half way is told, and clear is refused until it is up', () => {
    const host = new DeskHost((board) => board.fitLift(4000, 1000)).ready({ liftMs: 200 });
    host.send(TYPE.lift, [0]);
    host.ms(150);
    expect(host.status.lift).toBe(3);
    host.send(TYPE.lift, [1]);
    host.ms(40);
    host.board.fitLift(4000, 1000, true);
    host.ms(300);
    expect(host.status.stop).toBe(STOP.lift);
    expect(host.ask(TYPE.clear)).toMatchObject({ reason: 8, detail: STOP.lift });
    host.board.fitLift(4000, 1000, false);
    host.ms(150);
    expect(host.status.lift).toBe(1);
    expect(host.ask(TYPE.clear)).toBeNull();
  });

  it('system reset eases, keeps the drives, ends the link and is latched', () => {
    const { host, segments } = walking(9);
    host.board.write([0xff]);
    host.untilRest();
    expectOnPath(host, segments);
    const { stop, drives, lost, open, link } = host.status;
    expect({ stop, drives, open, link }).toEqual({ stop: STOP.reset, drives: true, open: false, link: 0 });
    expect(lost).toBe(true); // never flushed since the drives came on
  });

  it('too many broken frames in a second ease and end the link', () => {
    const { host, segments } = walking(10);
    for (let i = 0; i < 25; i++) {
      const broken = frame(TYPE.heartbeat, host.link, 0, word(i));
      broken[4]! ^= 1;
      host.board.write(broken);
    }
    host.untilRest();
    expect(host.status.stop).toBe(STOP.link);
    expectOnPath(host, segments);
  });

  it('a host that says nothing new is taken for silent: eased, lap up, not latched, and a new pace is needed', () => {
    const { host, segments } = walking(11, { silentMs: 200 });
    const same = frame(TYPE.heartbeat, host.link, 0, word(500));
    for (let i = 0; i < 12; i++) {
      host.board.write(same); // the counter stands: an application that hangs
      host.ms(50);
    }
    host.untilRest();
    expectOnPath(host, segments);
    const { silent, stop, drives, lost, target } = host.status;
    expect({ silent, stop, drives, target }).toEqual({ silent: true, stop: 0, drives: true, target: 0 });
    expect(lost).toBe(true);
    expect(host.pace(64)).toMatchObject({ reason: 9 });
    host.alive();
    host.ms(100);
    expect(host.status.silent).toBe(false);
    expect(host.status.level).toBe(0);
    expect(host.pace(64)).toBeNull();
  });

  it('raises the lap at rest when the host is silent, not before', () => {
    const host = new DeskHost((board) => board.fitLift(400, 100)).ready({ rampMs: 300, silentMs: 100, liftMs: 500 });
    host.push(Array.from({ length: 112 }, () => [255, 0, 0, 50, 0, 0, 0, 0]));
    host.alive();
    host.send(TYPE.lift, [0]);
    host.ms(20);
    expect(host.status.lift).toBe(3);
    host.alive();
    host.pace(64);
    for (let i = 0; i < 8; i++) {
      host.alive();
      host.ms(50);
    }
    while (!host.status.silent) host.ms(5);
    while (host.board.raw.core_level() > 0) {
      expect(host.board.liftAt).toBe(0);
      host.ms(1);
    }
    host.ms(60);
    expect(host.status.lift).toBe(1);
  });
});

describe('races between host and stand', () => {
  it('a pace sent again after an ease does not undo it', () => {
    const { host } = walking(12);
    const old = host.eases;
    host.ease();
    host.untilRest();
    expect(host.ask(TYPE.pace, [64, 0, old])).toMatchObject({ reason: 11 });
    expect(host.pace(64)).toBeNull();
  });

  it('a pace asked for before a planned rest does not start the walk out of it', () => {
    const host = new DeskHost().ready({ rampMs: 100 });
    host.push([
      [200, 0, 0, 50, 0, 0, 0, 0],
      [200, 1, 0, 10, 0, 0, 0, 0],
      ...Array.from({ length: 40 }, () => [200, 0, 0, 50, 0, 0, 0, 0]),
    ]);
    host.pace(64);
    host.ms(500);
    expect(host.status.rests).toBe(1);
    expect(host.ask(TYPE.pace, [40, 0, host.eases])).toMatchObject({ reason: 11 });
    expect(host.board.position(0)).toBe(60);
    expect(host.pace(40)).toBeNull();
  });

  it('a hole in the path is never walked over: after a refused frame all segments are refused until a flush', () => {
    const { host } = walking(13);
    const bad = [200, 0, 0, 150, 0, 0, 0, 0];
    expect(host.ask(TYPE.segments, bad)).toMatchObject({ reason: 6 });
    expect(host.ask(TYPE.segments, [200, 0, 0, 0, 0, 0, 0, 0])).toMatchObject({ reason: 7 });
    host.untilRest();
    expect(host.status.stop).toBe(STOP.segment);
    expect(host.ask(TYPE.flush)).toBeNull();
    expect(host.ask(TYPE.segments, [200, 0, 0, 0, 0, 0, 0, 0])).toBeNull();
    expect(host.ask(TYPE.clear)).toBeNull();
  });

  it('a second host with another link id can do nothing', () => {
    const { host } = walking(14);
    const before = host.status.counters[3]!;
    host.board.write(frame(TYPE.ease, 99, 0, [1]));
    host.board.write(frame(TYPE.pace, 99, host.seq, [0, 0, 0]));
    host.ms(50);
    expect(host.status.counters[3]).toBe(before + 2);
    expect(host.status.target).toBe(64);
  });

  it('an open while it walks is refused, and eases', () => {
    const { host, segments } = walking(15);
    const taken = host.seq;
    host.open();
    host.untilRest();
    expect(host.last(TYPE.refused).body).toEqual([0, TYPE.open, 2, 0]);
    expectOnPath(host, segments);
    expect(host.status.seq).toBe(taken);
  });
});
