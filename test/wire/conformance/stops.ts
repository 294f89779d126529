/** SPEC section 5: latched stops. */
import assert from 'node:assert/strict';
import { sysexOf } from '../../../firmware-host/wire/frame';
import { randomWalk } from '../../support/segments';
import { BIT, even, hasState, onPath, opened, REASON, ready, STATE, STOP, stopIs, walking } from './begin';
import type { Case, Port } from './port';
import type { Talk } from './talk';

const RISING_AFTER_TICKS = 1;

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
  assert.deepEqual([status.state & (STATE.drivesOn | STATE.lost), status.paceTarget], [0x40, 0]);
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
      const talk = opened(port);
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
      const talk = opened(port);
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
      onPath(talk, segments, status);
      assert.equal(port.drivesOn(), false);
      assert.equal(status.state & (STATE.drivesOn | STATE.lost), 0x40);
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
      assert.deepEqual([status.state & (STATE.drivesOn | STATE.lost), port.drivesOn()], [0x40, false]);
      wayBack(talk);
    },
  },
  {
    section: 5,
    rule: 'a limit at rest is no stop',
    run(port) {
      const talk = ready(port);
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
      const talk = ready(port);
      port.hold(limit, 0);
      talk.run(0.01);
      talk.push(even(100));
      talk.do({ name: 'seek', mask: limit, levels: 0, on: 1 });
      talk.do(talk.pace(64));
      talk.run(0.1);
      assert.ok(talk.edges.length > 0);
      port.hold(0, 0);
      talk.until('seek latched', 0.5, () => hasState(talk, STATE.seekLatched) || undefined);
      assert.equal(talk.status().latchedStop, 0);
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
      onPath(talk, segments, { segmentsBegun: answer.segmentsBegunBefore, ticksLeft: answer.ticksLeftBefore });
      assert.equal(talk.status().state & STATE.lost, 0);
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
      onPath(talk, segments, { segmentsBegun: answer.segmentsBegunBefore, ticksLeft: answer.ticksLeftBefore });
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
