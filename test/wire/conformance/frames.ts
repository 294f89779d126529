/** SPEC section 4: frames, sequence, answers. */
import assert from 'node:assert/strict';
import { encodeToStand, sysexOf, wireOf } from '../../../firmware-host/wire/frame';
import type { StatusFrame } from '../../../firmware-host/wire/frame-table';
import { unpack } from '../../../firmware-host/wire/packing';
import { concat, REST, segment } from '../../support/segments';
import { type Case, type Port, TICK_HZ } from './port';
import { QUICK, type Say, Talk } from './talk';

const REASON = { value: 1, motion: 2, stop: 3, drives: 4 };
const even = (count: number): Uint8Array => concat(Array.from({ length: count }, () => segment(200, [50])));

function opened(port: Port): Talk {
  const talk = new Talk(port);
  talk.open();
  return talk;
}

function ready(port: Port): Talk {
  const talk = new Talk(port);
  talk.ready();
  return talk;
}

function walking(port: Port): Talk {
  const talk = ready(port);
  talk.push(even(100));
  talk.do(talk.pace(64));
  talk.until('full pace', 1, () => (talk.last('status')?.paceLevel === 64 ? true : undefined));
  return talk;
}

const COUNTERS = {
  crc: 'crcErrors',
  length: 'lengthErrors',
  type: 'typeErrors',
  link: 'linkErrors',
  sequence: 'sequenceErrors',
  aborted: 'abortedErrors',
  refused: 'refusals',
} as const satisfies Record<string, keyof StatusFrame>;

/** Says raw bytes to an open link and tells which counters they moved, and whether a clear behind them was still heard. */
function counted(port: Port, bytes: (talk: Talk) => ArrayLike<number>): Record<string, number> {
  const talk = opened(port);
  const before = talk.status();
  talk.raw(bytes(talk));
  talk.do({ name: 'clear' });
  const after = talk.status();
  assert.equal(after.seqExpected, before.seqExpected + 1, 'only the clear behind was taken');
  return Object.fromEntries(
    Object.entries(COUNTERS).flatMap(([name, field]) =>
      after[field] === before[field] ? [] : [[name, after[field] - before[field]]],
    ),
  );
}

function counts(rule: string, wanted: Record<string, number>, bytes: (talk: Talk) => ArrayLike<number>): Case {
  return { section: 4, rule, run: (port) => assert.deepEqual(counted(port, bytes), wanted) };
}

/** The decoded bytes of a frame, CRC included. */
function decoded(frame: Say, link: number, seq: number): Uint8Array {
  const wire = encodeToStand(frame, link, seq);
  const bytes = new Uint8Array(80);
  return bytes.slice(0, unpack(wire.subarray(2, -1), wire.length - 3, bytes));
}

function refuses(rule: string, frame: Say, reason: number): Case {
  return { section: 4, rule, run: (port) => void ready(port).refused(frame, reason) };
}

export const FRAME_CASES: Case[] = [
  {
    section: 4,
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
      assert.equal(status.state & 0x01, 1, 'the drives stay on');
    },
  },
  {
    section: 4,
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
    rule: 'a sequenced frame is acknowledged at once',
    run(port) {
      const talk = opened(port);
      for (let i = 0; i < 5; i++) {
        const heard = talk.frames.length;
        talk.say({ name: 'clear' });
        talk.run(0.008);
        const answers = talk.frames.slice(heard).filter((frame) => frame.name === 'status');
        assert.equal(answers.at(-1)?.seqExpected, talk.seq);
      }
    },
  },
  {
    section: 4,
    rule: 'a repeat of any of the 64 before is acknowledged again and not run again',
    run(port) {
      const talk = ready(port);
      for (let i = 0; i < 70; i++) talk.do({ name: 'segments', segments: segment(200, [1]) });
      const before = talk.status();
      for (const back of [1, 2, 63, 64]) {
        const heard = talk.frames.length;
        const seq = (talk.seq - back) & 0xff;
        talk.raw(encodeToStand({ name: 'segments', segments: segment(200, [1]) }, talk.link, seq));
        talk.run(0.012);
        const answers = talk.frames.slice(heard).filter((frame) => frame.name === 'status');
        assert.ok(answers.length > 0, `no acknowledgement of the repeat ${back} before`);
      }
      const after = talk.status();
      assert.deepEqual(
        [after.segmentsAccepted, after.seqExpected, after.sequenceErrors],
        [before.segmentsAccepted, before.seqExpected, before.sequenceErrors],
      );
    },
  },
  counts('a number ahead is dropped and counted', { sequence: 1 }, (talk) =>
    encodeToStand({ name: 'clear' }, talk.link, talk.seq + 1),
  ),
  counts('a number more than 64 back is dropped and counted', { sequence: 1 }, (talk) =>
    encodeToStand({ name: 'clear' }, talk.link, talk.seq - 65),
  ),
  {
    section: 4,
    rule: 'a refused frame uses up its number; refusals name number, type and reason and are counted',
    run(port) {
      const talk = ready(port);
      const before = talk.status();
      const seq = talk.seq;
      const refusal = talk.ask({ name: 'lift', up: 7 });
      assert.deepEqual([refusal?.refusedSeq, refusal?.refusedType, refusal?.reason], [seq, 0x13, REASON.value]);
      const after = talk.status();
      assert.equal(after.seqExpected, (before.seqExpected + 1) & 0xff);
      assert.equal(after.refusals, before.refusals + 1);
    },
  },
  counts('a frame under another link does nothing and is counted', { link: 1 }, (talk) =>
    encodeToStand({ name: 'clear' }, talk.link + 1, talk.seq),
  ),
  counts('a frame with a wrong CRC is dropped and counted', { crc: 1 }, (talk) => {
    const bytes = decoded({ name: 'clear' }, talk.link, talk.seq);
    bytes[1]! ^= 0x10;
    return sysexOf(bytes, bytes.length);
  }),
  counts('a body too long for its type is counted and uses up no number', { length: 1 }, (talk) =>
    wireOf(Uint8Array.of(0x16, talk.link & 0xff, talk.link >> 8, talk.seq, 0)),
  ),
  counts('a body too short for its type is counted and uses up no number', { length: 1 }, (talk) =>
    wireOf(Uint8Array.of(0x11, talk.link & 0xff, talk.link >> 8, talk.seq, 64, 0)),
  ),
  counts('a frame shorter than header and CRC is counted', { length: 1 }, () => wireOf(Uint8Array.of(0x16, 77, 0))),
  counts('an unknown type is counted', { type: 1 }, (talk) =>
    wireOf(Uint8Array.of(0x2e, talk.link & 0xff, talk.link >> 8, talk.seq)),
  ),
  counts('bits of the padding that are not 0 are counted as a wrong length', { length: 1 }, (talk) => {
    const wire = encodeToStand({ name: 'clear' }, talk.link, talk.seq);
    wire[wire.length - 2]! |= 0x40;
    return wire;
  }),
  counts('a status byte inside a frame ends it unread', { aborted: 1 }, (talk) => {
    const wire = encodeToStand({ name: 'clear' }, talk.link, talk.seq);
    return [...wire.subarray(0, 6), 0xc0, ...wire.subarray(6)];
  }),
  counts('a frame that lost its end costs itself, not the next', { aborted: 1 }, (talk) =>
    encodeToStand({ name: 'clear' }, talk.link, talk.seq).subarray(0, -1),
  ),
  counts('a frame that is too long is dropped whole and counted', { length: 1 }, () => [
    0xf0,
    0x0c,
    ...Array.from({ length: 300 }, () => 0x11),
    0xf7,
  ]),
  counts('standard messages and noise outside a frame are nobody’s error', {}, () => [
    0x90, 1, 1, 0xe3, 5, 5, 0xf4, 3, 1, 0xf5, 3, 1, 0x11, 0x22, 0xc0, 1, 0xf0, 0x71, 1, 2, 0xf7,
  ]),
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
      assert.deepEqual([status.state & 0x01, status.latchedStop, port.lowered(), port.drivesOn()], [1, 0, false, true]);
      assert.equal(status.paceLevel, 64);
    },
  },
  {
    section: 4,
    rule: 'after a boot nothing moves until open, drives and pace',
    run(port) {
      const talk = new Talk(port);
      talk.run(0.1);
      assert.equal(port.drivesOn(), false);
      talk.open({ enableDelayMs: 100 });
      const still = talk.status();
      assert.deepEqual([still.state & 0x41, still.paceLevel, still.latchedStop], [0x40, 0, 0]);
      talk.push(even(60));
      talk.refused(talk.pace(64), REASON.drives);
      talk.do({ name: 'drives', on: 1 });
      talk.refused(talk.pace(64), REASON.drives);
      talk.until('drives ready', 0.3, () => ((talk.last('status')?.state ?? 0) & 0x80 ? true : undefined));
      assert.equal(talk.edges.length, 0);
      talk.do(talk.pace(64));
      talk.run(0.1);
      assert.ok(talk.edges.length > 0);
    },
  },
  {
    section: 4,
    rule: 'flush tells the place that stood, and ends "position lost" only with the drives on',
    run(port) {
      const talk = opened(port);
      talk.do({ name: 'flush' });
      assert.equal(talk.status().state & 0x40, 0x40);
      talk.do({ name: 'drives', on: 1 });
      talk.until('drives ready', 1, () => ((talk.last('status')?.state ?? 0) & 0x80 ? true : undefined));
      talk.push(even(100));
      talk.do(talk.pace(64));
      talk.run(0.1);
      const stood = talk.rest();
      talk.do({ name: 'flush' });
      const answer = talk.last('flushed');
      assert.deepEqual([answer?.segmentsBegun, answer?.ticksLeft], [stood.segmentsBegun, stood.ticksLeft]);
      const status = talk.status();
      assert.deepEqual([status.state & 0x40, status.segmentsBegun, status.ticksLeft, status.ringFree], [0, 0, 0, 128]);
    },
  },
  {
    section: 4,
    rule: 'drives off lose the position; on again they do not find it',
    run(port) {
      const talk = ready(port);
      talk.do({ name: 'drives', on: 0 });
      assert.equal(port.drivesOn(), false);
      assert.equal(talk.status().state & 0x41, 0x40);
      talk.do({ name: 'drives', on: 1 });
      assert.equal(talk.status().state & 0x41, 0x41);
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
      assert.deepEqual([silent.state & 0x04, silent.paceTarget], [0x04, 0]);
      talk.beat(5001);
      talk.run(0.01);
      assert.equal(talk.status().state & 0x04, 0);
    },
  },
];
