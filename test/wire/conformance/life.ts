/** SPEC section 5: the lift, the silent host and the boot. */
import assert from 'node:assert/strict';
import {
  BIT,
  hasState,
  inTimeMs,
  LIFT,
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
import type { Case } from './port';
import { HAND_SECONDS, QUICK, Talk } from './talk';

export const LIFE_CASES: Case[] = [
  {
    section: 5,
    needs: 'hands',
    rule: 'the lift says where it is: falling, down, rising, up',
    run(port) {
      const talk = ready(port, { liftTimeoutMs: port.bare ? 1000 * HAND_SECONDS : 1500 });
      talk.until('up', 1, () => (talk.last('status')?.lift === LIFT.up ? true : undefined));
      talk.do({ name: 'lift', up: 0 });
      talk.lowers(true);
      assert.equal(talk.status().lift, LIFT.falling);
      if (port.bare) talk.hold(BIT.liftDown, BIT.liftUp);
      talk.until('down', 1.5, () => (talk.last('status')?.lift === LIFT.down ? true : undefined));
      talk.do({ name: 'lift', up: 1 });
      assert.equal(talk.status().lift, LIFT.rising);
      talk.lowers(false);
      if (port.bare) talk.hold(0, 0);
      talk.until('up again', 1.5, () => (talk.last('status')?.lift === LIFT.up ? true : undefined));
      assert.equal(talk.status().latchedStop, 0);
    },
  },
  {
    section: 5,
    rule: 'a lift that does not answer in its time stops the walk; the drives hold',
    run(port) {
      const talk = ready(port, { liftTimeoutMs: inTimeMs(port, 200) });
      // On a bare board no lift answers as it is.
      if (!port.bare) port.hold(0, BIT.liftUp | BIT.liftDown);
      talk.do({ name: 'lift', up: 0 });
      talk.run(0.05);
      assert.equal(talk.status().latchedStop, 0);
      const status = stopIs(talk, STOP.lift);
      assert.equal(status.state & (STATE.drivesOn | STATE.lost), 0x01);
      talk.drives(true);
      // A latched stop lifts the lap as far as it goes.
      talk.lowers(false);
    },
  },
  {
    section: 5,
    needs: 'hands',
    rule: 'a lift whose sensor is lost where it stands stops the walk after its time-out',
    run(port) {
      const segments = longWalk(port, 59);
      const talk = ready(port, { liftTimeoutMs: 150 });
      if (port.bare) talk.hold(BIT.liftDown, 0);
      talk.do({ name: 'lift', up: 0 });
      talk.until('down', 1.5, () => (talk.last('status')?.lift === LIFT.down ? true : undefined));
      talk.begin(segments);
      talk.run(0.08);
      talk.hold(0, BIT.liftDown);
      const status = stopIs(talk, STOP.lift);
      onPath(talk, segments, status);
      talk.drives(true);
    },
  },
  {
    section: 5,
    needs: 'hands',
    boot: { released: BIT.liftUp | BIT.liftDown },
    rule: 'at boot the lift is unknown until a sensor answers, and that is no stop',
    run(port) {
      port.hold(0, BIT.liftUp | BIT.liftDown);
      const talk = opened(port, { liftTimeoutMs: 100 });
      talk.run(0.3);
      const status = talk.status();
      assert.deepEqual([status.lift, status.latchedStop], [LIFT.unknown, STOP.none]);
      talk.hold(0, 0);
      talk.until('up', 0.3, () => (talk.last('status')?.lift === LIFT.up ? true : undefined));
    },
  },
  {
    section: 5,
    rule: 'a silent host: the walk eases on its path, the lap rises, the drives hold; motion goes on only by a new pace',
    run(port) {
      const segments = longWalk(port, 53);
      const talk = walking(port, segments);
      talk.beating = false;
      talk.beat(5000);
      const from = port.now();
      talk.until('silent', 0.5, () => hasState(talk, STATE.silent) || undefined);
      const silentMs = (port.now() - from) / 40;
      const early = QUICK.hostSilentMs - talk.latencySeconds * 1000;
      port.note?.(
        'measured',
        `silent ${silentMs.toFixed(0)} ms after the last sign of life (${QUICK.hostSilentMs} asked for)`,
      );
      assert.ok(
        silentMs >= early && silentMs <= early + 50 + 2000 * talk.latencySeconds,
        `silent after ${silentMs} ms`,
      );
      talk.run(0.2);
      const silent = talk.status();
      assert.deepEqual([silent.paceLevel, silent.paceTarget, silent.latchedStop], [0, 0, 0]);
      onPath(talk, segments, silent);
      talk.drives(true);
      talk.lowers(false);
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
    needs: 'hands',
    rule: 'a host that falls silent with the lap down has it lifted',
    run(port) {
      const talk = ready(port, { liftTimeoutMs: 1500 });
      if (port.bare) talk.hold(BIT.liftDown, 0);
      talk.do({ name: 'lift', up: 0 });
      talk.until('down', 1.5, () => (talk.last('status')?.lift === LIFT.down ? true : undefined));
      talk.beating = false;
      talk.run(0.5);
      talk.lowers(false);
    },
  },
  {
    section: 5,
    boot: { released: 0 },
    rule: 'a boot comes up still: drives off, position lost, lap up',
    run(port) {
      const talk = new Talk(port);
      talk.run(0.05);
      if (port.pins !== null) assert.deepEqual([port.pins.drivesOn(), port.pins.lowered()], [false, false]);
      talk.open();
      talk.drives(false);
      talk.lowers(false);
      const status = talk.status();
      assert.deepEqual(
        [status.state & (STATE.drivesOn | STATE.lost), status.latchedStop, status.paceLevel],
        [0x40, 0, 0],
      );
    },
  },
];
