/** SPEC section 4: what is asked and how it is answered. */
import assert from 'node:assert/strict';
import { concat, REST, segment } from '../../support/segments';
import { even, hasState, inTimeMs, opened, REASON, ready, STATE, STOP, walking } from './begin';
import { type Case, TICK_HZ } from './port';
import { QUICK, type Say, Talk } from './talk';

function refuses(rule: string, frame: Say, reason: number): Case {
  return { section: 4, rule, run: (port) => void ready(port).refused(frame, reason) };
}

export const FRAME_CASES: Case[] = [
  {
    section: 4,
    boot: { released: 0 },
    rule: 'open is answered with what the board is',
    run(port) {
      const answer = new Talk(port).open();
      assert.equal(answer.protocol, 1);
      assert.equal(answer.board, port.board);
      assert.equal(answer.axes, port.axes);
      assert.deepEqual([answer.ringSize, answer.paceLevels, answer.tickTensOfHz], [128, 64, 4000]);
      assert.equal(answer.link, QUICK.proposedLink);
      assert.ok(answer.bootCause >= 1 && answer.bootCause <= 5);
      assert.deepEqual([answer.linkBefore, answer.segmentsBegunBefore, answer.ticksLeftBefore], [0, 0, 0]);
    },
  },
  {
    section: 4,
    rule: 'open with a value out of range is refused',
    run(port) {
      const talk = new Talk(port);
      talk.openRefused({ proposedLink: 0 }, REASON.value);
      talk.openRefused({ proposedLink: 16_384 }, REASON.value);
      talk.openRefused({ rampMs: 49 }, REASON.value);
      talk.openRefused({ rampMs: 1501 }, REASON.value);
      talk.openRefused({ hostSilentMs: 49 }, REASON.value);
      talk.openRefused({ liftTimeoutMs: 99 }, REASON.value);
      talk.open({ proposedLink: 16_383, rampMs: 1500, hostSilentMs: 50, liftTimeoutMs: 100 });
    },
  },
  {
    section: 4,
    rule: 'open in motion is refused and eases',
    run(port) {
      const talk = walking(port);
      talk.openRefused({ proposedLink: 9 }, REASON.motion);
      talk.until('rest', 1, () => (talk.last('status')?.paceLevel === 0 ? true : undefined));
      assert.equal(talk.status().link, QUICK.proposedLink, 'the old link stands');
    },
  },
  {
    section: 4,
    rule: 'open tells what stood before, and starts numbers, seq, rests and eases at 0',
    run(port) {
      const talk = ready(port);
      talk.walk(concat([segment(100, [10]), REST]));
      talk.push(even(3));
      const stood = talk.rest();
      const answer = talk.open({ proposedLink: 200 });
      assert.deepEqual(
        [answer.linkBefore, answer.segmentsBegunBefore, answer.ticksLeftBefore],
        [QUICK.proposedLink, stood.segmentsBegun, stood.ticksLeft],
      );
      const status = talk.status();
      assert.deepEqual(
        [status.link, status.seqExpected, status.segmentsAccepted, status.segmentsBegun, status.restsReached],
        [200, 0, 0, 0, 0],
      );
      assert.equal(status.state & STATE.drivesOn, 1, 'the drives stay on');
    },
  },
  {
    section: 4,
    boot: { released: 0 },
    rule: 'reports come 25 times a second while a link is open, and none before',
    run(port) {
      const talk = new Talk(port);
      talk.run(0.1); // what a boot changes is told once
      talk.frames.length = 0;
      talk.run(0.3);
      assert.equal(talk.frames.length, 0);
      talk.open({ hostSilentMs: 2000 });
      talk.run(0.02);
      talk.frames.length = 0;
      talk.run(1);
      port.note?.('measured', `${talk.frames.length} reports in a second`);
      assert.ok(Math.abs(talk.frames.length - 25) <= 1, `${talk.frames.length} in a second`);
      const clocks = talk.frames.flatMap((frame) => (frame.name === 'status' ? [frame.clockTicks] : []));
      const spans = clocks.slice(1).map((clock, i) => clock - clocks[i]!);
      assert.ok(
        spans.every((span) => Math.abs(span - 0.04 * TICK_HZ) <= 0.004 * TICK_HZ),
        `${spans.join()} ticks apart`,
      );
    },
  },
  {
    section: 4,
    rule: 'reports go on after the link has ended, under no link',
    run(port) {
      const talk = ready(port);
      talk.raw([0xff]);
      talk.link = 0;
      talk.run(0.1);
      talk.frames.length = 0;
      talk.run(0.4);
      assert.ok(Math.abs(talk.frames.length - 10) <= 1, `${talk.frames.length} in 0.4 s`);
      assert.ok(
        talk.frames.every((frame) => frame.name === 'status' && frame.link === 0 && frame.latchedStop === STOP.reset),
      );
    },
  },
  {
    section: 4,
    rule: 'a report is under the open link, with the boot id of the open',
    run(port) {
      const talk = new Talk(port);
      const { bootId } = talk.open({ proposedLink: 1234 });
      const status = talk.status();
      assert.deepEqual([status.link, status.bootId, status.state & 0x02], [1234, bootId, 0x02]);
    },
  },
  {
    section: 4,
    rule: '32 frames without waiting for an acknowledgement are all taken',
    run(port) {
      const talk = ready(port);
      for (let i = 0; i < 18; i++) talk.say({ name: 'segments', segments: even(7) });
      for (let i = 0; i < 14; i++) talk.say({ name: 'clear' });
      talk.run(0.1);
      const status = talk.status();
      assert.deepEqual([status.segmentsAccepted, status.seqExpected], [126, talk.seq]);
      assert.equal(status.overrunErrors, 0);
    },
  },
  refuses('a pace above the levels is refused', { name: 'pace', target: 65, rests: 0, eases: 0 }, REASON.value),
  refuses('drives take only 0 and 1', { name: 'drives', on: 2 }, REASON.value),
  refuses('a seek takes only 0 and 1', { name: 'seek', mask: 0, levels: 0, on: 2 }, REASON.value),
  {
    section: 4,
    rule: 'in motion the drives stay on, the lap stays up and the queue stays',
    run(port) {
      const talk = walking(port);
      talk.refused({ name: 'drives', on: 0 }, REASON.motion);
      talk.refused({ name: 'lift', up: 0 }, REASON.motion);
      talk.refused({ name: 'flush' }, REASON.motion);
      talk.refused({ name: 'clear' }, REASON.motion);
      const status = talk.status();
      assert.deepEqual([status.state & STATE.drivesOn, status.latchedStop, status.paceLevel], [1, 0, 64]);
      talk.lowers(false);
      talk.drives(true);
    },
  },
  {
    section: 4,
    boot: { released: 0 },
    rule: 'after a boot nothing moves until open, drives and pace',
    run(port) {
      const talk = new Talk(port);
      talk.run(0.1);
      if (port.pins !== null) talk.drives(false);
      talk.open({ enableDelayMs: inTimeMs(port, 100) });
      talk.drives(false);
      const still = talk.status();
      assert.deepEqual([still.state & (STATE.drivesOn | STATE.lost), still.paceLevel, still.latchedStop], [0x40, 0, 0]);
      talk.push(even(60));
      talk.refused(talk.pace(64), REASON.drives);
      talk.do({ name: 'drives', on: 1 });
      talk.refused(talk.pace(64), REASON.drives);
      talk.until('drives ready', inTimeMs(port, 300) / 1000, () => hasState(talk, STATE.ready) || undefined);
      talk.stepped(false);
      talk.do(talk.pace(64));
      talk.run(0.1);
      assert.ok(talk.status().segmentsBegun > 1);
      talk.stepped(true);
    },
  },
  {
    section: 4,
    rule: 'flush tells the place that stood, and ends "position lost" only with the drives on',
    run(port) {
      const talk = opened(port);
      talk.do({ name: 'flush' });
      assert.equal(talk.status().state & STATE.lost, 0x40);
      talk.do({ name: 'drives', on: 1 });
      talk.until('drives ready', 1, () => hasState(talk, STATE.ready) || undefined);
      talk.push(even(100));
      talk.do(talk.pace(64));
      talk.run(0.1);
      const stood = talk.rest();
      talk.do({ name: 'flush' });
      const answer = talk.last('flushed');
      assert.deepEqual([answer?.segmentsBegun, answer?.ticksLeft], [stood.segmentsBegun, stood.ticksLeft]);
      const status = talk.status();
      assert.deepEqual(
        [status.state & STATE.lost, status.segmentsBegun, status.ticksLeft, status.ringFree],
        [0, 0, 0, 128],
      );
    },
  },
  {
    section: 4,
    rule: 'drives off lose the position; on again they do not find it',
    run(port) {
      const talk = ready(port);
      talk.do({ name: 'drives', on: 0 });
      talk.drives(false);
      assert.equal(talk.status().state & (STATE.drivesOn | STATE.lost), 0x40);
      talk.do({ name: 'drives', on: 1 });
      assert.equal(talk.status().state & (STATE.drivesOn | STATE.lost), 0x41);
    },
  },
  {
    section: 4,
    rule: 'only a heartbeat counter that moved on counts as life',
    run(port) {
      const talk = walking(port);
      talk.beating = false;
      for (let i = 0; i < 10; i++) {
        talk.beat(5000);
        talk.run(0.06);
      }
      const silent = talk.status();
      assert.deepEqual([silent.state & STATE.silent, silent.paceTarget], [0x04, 0]);
      talk.beat(5001);
      talk.run(0.01);
      assert.equal(talk.status().state & STATE.silent, 0);
    },
  },
];
