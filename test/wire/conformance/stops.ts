/** SPEC section 5: latched stops, the silent host, the lift. */
import assert from 'node:assert/strict';
import { sysexOf } from '../../../firmware-host/wire/frame';
import type { StatusFrame } from '../../../firmware-host/wire/frame-table';
import { concat, randomWalk, segment, stepsOf } from '../../support/segments';
import type { Case, Port } from './port';
import { Talk } from './talk';

const BIT = { halt: 0x01, guard: 0x02, fault: 0x04, strokeHigh: 0x20, limits: 0xf0, liftUp: 0x200, liftDown: 0x400 };
const STOP = { halt: 1, fault: 2, guard: 3, limit: 4, lift: 5, reset: 6, link: 8 };
const REASON = { stop: 3, drives: 4, cause: 8, silent: 9 };
const LIFT = { up: 1, rising: 2, down: 3, falling: 4 };
const RISING_AFTER_TICKS = 1;

const even = (count: number): Uint8Array => concat(Array.from({ length: count }, () => segment(200, [50])));

function walking(port: Port, segments = even(110)): Talk {
  const talk = new Talk(port);
  talk.ready();
  talk.push(segments);
  talk.do(talk.pace(64));
  talk.until('full pace', 1, () => (talk.last('status')?.paceLevel === 64 ? true : undefined));
  return talk;
}

function stopIs(talk: Talk, cause: number): StatusFrame {
  talk.until(`stop ${cause}`, 2, () => (talk.last('status')?.latchedStop === cause ? true : undefined));
  talk.until('rest', 2, () => (talk.last('status')?.paceLevel === 0 ? true : undefined));
  talk.run(0.05);
  return talk.status();
}

/** What trips: steps end within a tick, drives off at once, position lost, lap up. */
function trips(port: Port, bit: number, cause: number): void {
  const talk = walking(port);
  talk.tick(7);
  talk.edges.length = 0;
  port.hold(bit, 0);
  talk.tick(1);
  const sampled = talk.edges.length;
  talk.tick(RISING_AFTER_TICKS);
  talk.tick(40);
  assert.ok(talk.edges.length - sampled <= 1, 'a rising edge later than one tick');
  assert.equal(port.drivesOn(), false);
  const before = talk.edges.length;
  const status = stopIs(talk, cause);
  assert.equal(talk.edges.length, before);
  assert.deepEqual([status.state & 0x41, status.paceTarget], [0x40, 0]);
  assert.equal(port.lowered(), false);
}

/** After any latched stop: refused until cleared, cleared without starting anything. */
function wayBack(talk: Talk): void {
  talk.refused({ name: 'drives', on: 1 }, REASON.stop);
  talk.refused({ name: 'lift', up: 0 }, REASON.stop);
  talk.refused(talk.pace(64), REASON.stop);
  talk.do({ name: 'clear' });
  talk.run(0.1);
  const status = talk.status();
  assert.deepEqual([status.latchedStop, status.paceLevel, status.paceTarget], [0, 0, 0]);
  talk.do({ name: 'drives', on: 1 });
}

/** What eases: the walk comes to rest on its path with every step accounted for. */
function easedOnPath(talk: Talk, segments: Uint8Array, status: StatusFrame): void {
  const place = { segment: status.segmentsBegun - 1, ticksLeft: status.ticksLeft };
  assert.deepEqual(talk.motors(), stepsOf(segments, place));
}

/** A frame nobody can read. */
function garbled(): Uint8Array {
  return sysexOf(Uint8Array.of(0x16, 77, 0, 0, 0, 0), 6);
}

export const STOP_CASES: Case[] = [
  {
    section: 5,
    rule: 'halt: no rising step edge later than one tick, drives off, lap up; refused while asserted; clear starts nothing',
    run(port) {
      trips(port, BIT.halt, STOP.halt);
      const talk = new Talk(port);
      talk.open();
      assert.equal(talk.refused({ name: 'clear' }, REASON.cause), STOP.halt);
      port.hold(0, 0);
      talk.run(0.02);
      wayBack(talk);
    },
  },
  {
    section: 5,
    rule: 'a drive fault acts as halt',
    run: (port) => trips(port, BIT.fault, STOP.fault),
  },
  {
    section: 5,
    rule: 'a drive fault with the drives off is no stop',
    run(port) {
      const talk = new Talk(port);
      talk.open();
      port.hold(BIT.fault, 0);
      talk.run(0.1);
      const status = talk.status();
      assert.deepEqual([status.latchedStop, status.inputs & BIT.fault], [0, BIT.fault]);
    },
  },
  {
    section: 5,
    rule: 'guard: eases on the path, then drives off, lap up; refused while open',
    run(port) {
      const segments = randomWalk(41, 110, port.axes);
      const talk = walking(port, segments);
      port.hold(BIT.guard, 0);
      const status = stopIs(talk, STOP.guard);
      easedOnPath(talk, segments, status);
      assert.equal(port.drivesOn(), false);
      assert.equal(status.state & 0x41, 0x40);
      assert.equal(talk.refused({ name: 'clear' }, REASON.cause), STOP.guard);
      port.hold(0, 0);
      talk.run(0.02);
      wayBack(talk);
    },
  },
  {
    section: 5,
    rule: 'a limit acts as halt while walking; it may be cleared while it stands',
    run(port) {
      const talk = walking(port);
      port.hold(BIT.strokeHigh, 0);
      const status = stopIs(talk, STOP.limit);
      assert.deepEqual([status.state & 0x41, port.drivesOn()], [0x40, false]);
      wayBack(talk);
    },
  },
  {
    section: 5,
    rule: 'a limit at rest is no stop',
    run(port) {
      const talk = new Talk(port);
      talk.ready();
      port.hold(BIT.strokeHigh, 0);
      talk.run(0.1);
      assert.equal(talk.status().latchedStop, 0);
    },
  },
  {
    section: 5,
    rule: 'the way off a limit is a seek that has it in its mask',
    run(port) {
      const limit = port.limitsInSeries ? BIT.limits : BIT.strokeHigh;
      const talk = new Talk(port);
      talk.ready();
      port.hold(limit, 0);
      talk.run(0.01);
      talk.push(even(100));
      talk.do({ name: 'seek', mask: limit, levels: 0, on: 1 });
      talk.do(talk.pace(64));
      talk.run(0.1);
      assert.ok(talk.edges.length > 0);
      port.hold(0, 0);
      talk.until('seek latched', 0.5, () => ((talk.last('status')?.state ?? 0) & 0x10 ? true : undefined));
      assert.equal(talk.status().latchedStop, 0);
    },
  },
  {
    section: 5,
    rule: 'the lift says where it is: falling, down, rising, up',
    run(port) {
      const talk = new Talk(port);
      talk.ready({ liftTimeoutMs: 1500 });
      talk.until('up', 1, () => (talk.last('status')?.lift === LIFT.up ? true : undefined));
      talk.do({ name: 'lift', up: 0 });
      assert.equal(port.lowered(), true);
      assert.equal(talk.status().lift, LIFT.falling);
      talk.until('down', 1.5, () => (talk.last('status')?.lift === LIFT.down ? true : undefined));
      talk.do({ name: 'lift', up: 1 });
      assert.equal(port.lowered(), false);
      assert.equal(talk.status().lift, LIFT.rising);
      talk.until('up again', 1.5, () => (talk.last('status')?.lift === LIFT.up ? true : undefined));
      assert.equal(talk.status().latchedStop, 0);
    },
  },
  {
    section: 5,
    rule: 'a lift that does not answer in its time stops the walk; the drives hold',
    run(port) {
      const talk = new Talk(port);
      talk.ready({ liftTimeoutMs: 200 });
      port.hold(0, BIT.liftUp | BIT.liftDown);
      talk.do({ name: 'lift', up: 0 });
      talk.run(0.1);
      assert.equal(talk.status().latchedStop, 0);
      const status = stopIs(talk, STOP.lift);
      assert.deepEqual([status.state & 0x41, port.drivesOn()], [0x01, true]);
      assert.equal(port.lowered(), false, 'a latched stop lifts the lap as far as it goes');
    },
  },
  {
    section: 5,
    rule: '0xFF eases on the path, lifts the lap and ends the link; the drives hold and the position stays',
    run(port) {
      const segments = randomWalk(43, 110, port.axes);
      const talk = walking(port, segments);
      talk.raw([0xff]);
      talk.until('the farewell', 0.2, () => (talk.last('status')?.link === 0 ? true : undefined));
      const told = talk.last('status')!;
      assert.deepEqual([told.latchedStop, told.state & 0x43], [STOP.reset, 0x01]);
      talk.link = 0;
      talk.run(0.3);
      assert.equal(port.drivesOn(), true);
      const answer = talk.open({ proposedLink: 300 });
      assert.equal(answer.linkBefore, 77);
      assert.deepEqual(
        talk.motors(),
        stepsOf(segments, { segment: answer.segmentsBegunBefore - 1, ticksLeft: answer.ticksLeftBefore }),
      );
      assert.equal(talk.status().state & 0x40, 0);
      talk.refused(talk.pace(64), REASON.stop);
      talk.do({ name: 'clear' });
    },
  },
  {
    section: 5,
    rule: 'more than 20 lost frames in a second ease, lift the lap and end the link; fewer do not',
    run(port) {
      const segments = randomWalk(47, 110, port.axes);
      const talk = walking(port, segments);
      for (let i = 0; i < 10; i++) talk.raw(garbled());
      talk.run(0.05);
      assert.deepEqual([talk.status().latchedStop, talk.status().link], [0, 77]);
      for (let i = 0; i < 30; i++) talk.raw(garbled());
      talk.until('the farewell', 0.3, () => (talk.last('status')?.link === 0 ? true : undefined));
      assert.equal(talk.last('status')?.latchedStop, STOP.link);
      talk.link = 0;
      talk.run(0.3);
      assert.equal(port.drivesOn(), true);
      const answer = talk.open({ proposedLink: 301 });
      assert.deepEqual(
        talk.motors(),
        stepsOf(segments, { segment: answer.segmentsBegunBefore - 1, ticksLeft: answer.ticksLeftBefore }),
      );
    },
  },
  {
    section: 5,
    rule: 'a graver cause replaces one that eases; a lesser one does not replace a graver',
    run(port) {
      const talk = walking(port);
      port.hold(BIT.guard, 0);
      stopIs(talk, STOP.guard);
      port.hold(BIT.guard | BIT.halt, 0);
      stopIs(talk, STOP.halt);
      port.hold(0, 0);
      talk.run(0.01);
      port.hold(BIT.guard, 0);
      talk.run(0.05);
      assert.equal(talk.status().latchedStop, STOP.halt);
    },
  },
  {
    section: 5,
    rule: 'a silent host: the walk eases on its path, the lap rises, the drives hold; motion goes on only by a new pace',
    run(port) {
      const segments = randomWalk(53, 110, port.axes);
      const talk = walking(port, segments);
      talk.beating = false;
      talk.run(0.15);
      assert.equal(talk.status().state & 0x04, 0);
      talk.until('silent', 0.3, () => ((talk.last('status')?.state ?? 0) & 0x04 ? true : undefined));
      talk.run(0.2);
      const silent = talk.status();
      assert.deepEqual([silent.paceLevel, silent.paceTarget, silent.latchedStop], [0, 0, 0]);
      easedOnPath(talk, segments, silent);
      assert.deepEqual([port.drivesOn(), port.lowered()], [true, false]);
      talk.refused(talk.pace(64), REASON.silent);
      talk.beating = true;
      talk.run(0.2);
      const back = talk.status();
      assert.deepEqual([back.state & 0x04, back.paceLevel], [0, 0]);
      talk.do(talk.pace(64));
    },
  },
  {
    section: 5,
    rule: 'a host that falls silent with the lap down has it lifted',
    run(port) {
      const talk = new Talk(port);
      talk.ready({ liftTimeoutMs: 1500 });
      talk.do({ name: 'lift', up: 0 });
      talk.until('down', 1.5, () => (talk.last('status')?.lift === LIFT.down ? true : undefined));
      talk.beating = false;
      talk.run(0.5);
      assert.equal(port.lowered(), false);
    },
  },
  {
    section: 5,
    rule: 'a boot comes up still: drives off, position lost, lap up',
    run(port) {
      const talk = new Talk(port);
      talk.run(0.05);
      assert.deepEqual([port.drivesOn(), port.lowered()], [false, false]);
      talk.open();
      const status = talk.status();
      assert.deepEqual([status.state & 0x41, status.latchedStop, status.paceLevel], [0x40, 0, 0]);
    },
  },
  {
    section: 5,
    rule: 'the place of a stop is told',
    run(port) {
      const talk = walking(port);
      port.hold(BIT.halt, 0);
      const status = stopIs(talk, STOP.halt);
      assert.deepEqual([status.stopBegun, status.stopTicksLeft], [status.segmentsBegun, status.ticksLeft]);
      assert.ok(status.stopBegun > 0);
    },
  },
];
