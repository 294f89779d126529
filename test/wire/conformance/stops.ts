/** SPEC section 5: latched stops. */
import assert from 'node:assert/strict';
import { sysexOf } from '../../../firmware-host/wire/frame';
import {
  BIT,
  hasState,
  limitOf,
  longEven,
  longWalk,
  onPath,
  opened,
  REASON,
  ready,
  STATE,
  STOP,
  stopIs,
  walking,
} from './begin';
import type { Case, Port } from './port';
import type { Talk } from './talk';

const RISING_AFTER_TICKS = 1;

/** What trips: steps end within a tick, drives off at once, position lost, lap up. */
function trips(port: Port, bit: number, cause: number): void {
  const talk = walking(port);
  talk.tick(7);
  talk.edges.length = 0;
  talk.hold(bit, 0);
  talk.tick(1);
  const sampled = talk.edges.length;
  talk.tick(RISING_AFTER_TICKS);
  talk.tick(40);
  assert.ok(talk.edges.length - sampled <= 1, 'a rising edge later than one tick');
  talk.drives(false);
  const before = talk.edges.length;
  const status = stopIs(talk, cause);
  assert.equal(talk.edges.length, before);
  assert.deepEqual([status.state & (STATE.drivesOn | STATE.lost), status.paceTarget], [0x40, 0]);
  talk.lowers(false);
  talk.seesSteps();
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
    needs: 'hands',
    rule: 'halt: no rising step edge later than one tick, drives off, lap up; refused while asserted; clear starts nothing',
    run(port) {
      trips(port, BIT.halt, STOP.halt);
      const talk = opened(port);
      assert.equal(talk.refused({ name: 'clear' }, REASON.cause), STOP.halt);
      talk.hold(0, 0);
      talk.run(0.02);
      wayBack(talk);
    },
  },
  {
    section: 5,
    needs: 'hands',
    rule: 'a drive fault acts as halt',
    run: (port) => trips(port, BIT.fault, STOP.fault),
  },
  {
    section: 5,
    needs: 'hands',
    rule: 'a drive fault with the drives off is no stop',
    run(port) {
      const talk = opened(port);
      talk.hold(BIT.fault, 0);
      talk.run(0.1);
      const status = talk.status();
      assert.deepEqual([status.latchedStop, status.inputs & BIT.fault], [0, BIT.fault]);
    },
  },
  {
    section: 5,
    needs: 'hands',
    rule: 'guard: eases on the path, then drives off, lap up; refused while open',
    run(port) {
      const segments = longWalk(port, 41);
      const talk = walking(port, segments);
      talk.hold(BIT.guard, 0);
      const status = stopIs(talk, STOP.guard);
      onPath(talk, segments, status);
      talk.drives(false);
      assert.equal(status.state & (STATE.drivesOn | STATE.lost), 0x40);
      assert.equal(talk.refused({ name: 'clear' }, REASON.cause), STOP.guard);
      talk.hold(0, 0);
      talk.run(0.02);
      wayBack(talk);
    },
  },
  {
    section: 5,
    needs: 'hands',
    rule: 'a limit acts as halt while walking; it may be cleared while it stands',
    run(port) {
      const talk = walking(port);
      talk.hold(limitOf(port), 0);
      const status = stopIs(talk, STOP.limit);
      assert.equal(status.state & (STATE.drivesOn | STATE.lost), 0x40);
      talk.drives(false);
      wayBack(talk);
    },
  },
  {
    section: 5,
    needs: 'hands',
    rule: 'a limit at rest is no stop',
    run(port) {
      const talk = ready(port);
      talk.hold(limitOf(port), 0);
      talk.run(0.1);
      assert.equal(talk.status().latchedStop, 0);
    },
  },
  {
    section: 5,
    needs: 'hands',
    rule: 'the way off a limit is a seek that has it in its mask',
    run(port) {
      const limit = limitOf(port);
      const talk = ready(port);
      talk.hold(limit, 0);
      talk.run(0.01);
      talk.do({ name: 'seek', mask: limit, levels: 0, on: 1 });
      talk.begin(longEven(port));
      talk.run(0.1);
      assert.ok(talk.status().segmentsBegun > 0);
      talk.stepped(true);
      talk.hold(0, 0);
      talk.until('seek latched', 0.5, () => hasState(talk, STATE.seekLatched) || undefined);
      assert.equal(talk.status().latchedStop, 0);
    },
  },
  {
    section: 5,
    rule: '0xFF eases on the path, lifts the lap and ends the link; the drives hold and the position stays',
    run(port) {
      const segments = longWalk(port, 43);
      const talk = walking(port, segments);
      talk.raw([0xff]);
      talk.until('the farewell', 0.2, () => (talk.last('status')?.link === 0 ? true : undefined));
      const told = talk.last('status')!;
      assert.deepEqual([told.latchedStop, told.state & 0x43], [STOP.reset, 0x01]);
      talk.link = 0;
      talk.run(0.3);
      talk.drives(true);
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
      const segments = longWalk(port, 47);
      const talk = walking(port, segments);
      for (let i = 0; i < 10; i++) talk.raw(garbled());
      talk.run(0.05);
      assert.deepEqual([talk.status().latchedStop, talk.status().link], [0, 77]);
      for (let i = 0; i < 30; i++) talk.raw(garbled());
      talk.until('the farewell', 0.3, () => (talk.last('status')?.link === 0 ? true : undefined));
      assert.equal(talk.last('status')?.latchedStop, STOP.link);
      talk.link = 0;
      talk.run(0.3);
      talk.drives(true);
      const answer = talk.open({ proposedLink: 301 });
      onPath(talk, segments, { segmentsBegun: answer.segmentsBegunBefore, ticksLeft: answer.ticksLeftBefore });
    },
  },
  {
    section: 5,
    needs: 'hands',
    rule: 'a graver cause replaces one that eases; a lesser one does not replace a graver',
    run(port) {
      const talk = walking(port);
      talk.hold(BIT.guard, 0);
      stopIs(talk, STOP.guard);
      talk.hold(BIT.guard | BIT.halt, 0);
      stopIs(talk, STOP.halt);
      talk.hold(0, 0);
      talk.run(0.01);
      talk.hold(BIT.guard, 0);
      talk.run(0.05);
      assert.equal(talk.status().latchedStop, STOP.halt);
    },
  },
  {
    section: 5,
    needs: 'hands',
    rule: 'the place of a stop is told',
    run(port) {
      const talk = walking(port);
      talk.hold(BIT.halt, 0);
      const status = stopIs(talk, STOP.halt);
      assert.deepEqual([status.stopBegun, status.stopTicksLeft], [status.segmentsBegun, status.ticksLeft]);
      assert.ok(status.stopBegun > 0);
    },
  },
];
