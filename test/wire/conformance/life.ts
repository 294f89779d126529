/** SPEC section 5: the lift, the silent host and the boot. */
import assert from 'node:assert/strict';
import { randomWalk } from '../../support/segments';
import { BIT, hasState, LIFT, onPath, opened, REASON, ready, STATE, STOP, stopIs, walking } from './begin';
import type { Case } from './port';
import { Talk } from './talk';

export const LIFE_CASES: Case[] = [
  {
    section: 5,
    rule: 'the lift says where it is: falling, down, rising, up',
    run(port) {
      const talk = ready(port, { liftTimeoutMs: 1500 });
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
      const talk = ready(port, { liftTimeoutMs: 200 });
      port.hold(0, BIT.liftUp | BIT.liftDown);
      talk.do({ name: 'lift', up: 0 });
      talk.run(0.1);
      assert.equal(talk.status().latchedStop, 0);
      const status = stopIs(talk, STOP.lift);
      assert.deepEqual([status.state & (STATE.drivesOn | STATE.lost), port.drivesOn()], [0x01, true]);
      assert.equal(port.lowered(), false, 'a latched stop lifts the lap as far as it goes');
    },
  },
  {
    section: 5,
    rule: 'a lift whose sensor is lost where it stands stops the walk after its time-out',
    run(port) {
      const segments = randomWalk(59, 128, port.axes);
      const talk = ready(port, { liftTimeoutMs: 150 });
      talk.do({ name: 'lift', up: 0 });
      talk.until('down', 1.5, () => (talk.last('status')?.lift === LIFT.down ? true : undefined));
      talk.push(segments.subarray(0, 126 * 8));
      talk.do(talk.pace(64));
      talk.run(0.08);
      port.hold(0, BIT.liftDown);
      const status = stopIs(talk, STOP.lift);
      onPath(talk, segments, status);
      assert.equal(port.drivesOn(), true);
    },
  },
  {
    section: 5,
    rule: 'at boot the lift is unknown until a sensor answers, and that is no stop',
    run(port) {
      port.hold(0, BIT.liftUp | BIT.liftDown);
      const talk = opened(port, { liftTimeoutMs: 100 });
      talk.run(0.3);
      const status = talk.status();
      assert.deepEqual([status.lift, status.latchedStop], [LIFT.unknown, STOP.none]);
      port.hold(0, 0);
      talk.until('up', 0.3, () => (talk.last('status')?.lift === LIFT.up ? true : undefined));
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
      assert.equal(talk.status().state & STATE.silent, 0);
      talk.until('silent', 0.3, () => hasState(talk, STATE.silent) || undefined);
      talk.run(0.2);
      const silent = talk.status();
      assert.deepEqual([silent.paceLevel, silent.paceTarget, silent.latchedStop], [0, 0, 0]);
      onPath(talk, segments, silent);
      assert.deepEqual([port.drivesOn(), port.lowered()], [true, false]);
      talk.refused(talk.pace(64), REASON.silent);
      talk.beating = true;
      talk.run(0.2);
      const back = talk.status();
      assert.deepEqual([back.state & STATE.silent, back.paceLevel], [0, 0]);
      talk.do(talk.pace(64));
    },
  },
  {
    section: 5,
    rule: 'a host that falls silent with the lap down has it lifted',
    run(port) {
      const talk = ready(port, { liftTimeoutMs: 1500 });
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
      assert.deepEqual(
        [status.state & (STATE.drivesOn | STATE.lost), status.latchedStop, status.paceLevel],
        [0x40, 0, 0],
      );
    },
  },
];
