/** SPEC section 4: sequence numbers, and frames that come damaged or out of place. */
import assert from 'node:assert/strict';
import { encodeToStand, sysexOf, wireOf } from '../../../firmware-host/wire/frame';
import type { StatusFrame } from '../../../firmware-host/wire/frame-table';
import { unpack } from '../../../firmware-host/wire/packing';
import { segment } from '../../support/segments';
import { opened, REASON, ready } from './begin';
import type { Case, Port } from './port';
import type { Say, Talk } from './talk';

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

export const DAMAGE_CASES: Case[] = [
  {
    section: 4,
    rule: 'a sequenced frame is acknowledged at once',
    run(port) {
      const talk = opened(port);
      for (let i = 0; i < 5; i++) {
        const heard = talk.frames.length;
        talk.say({ name: 'clear' });
        talk.runPastLatency(0.008);
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
        talk.runPastLatency(0.012);
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
    rule: 'of several refusals while the line is busy the counter counts all, and the first is told',
    run(port) {
      const talk = ready(port);
      const before = talk.status();
      const first = talk.seq;
      for (let i = 0; i < 6; i++) talk.say({ name: 'drives', on: 9 });
      talk.run(0.05);
      const after = talk.status();
      assert.equal(after.refusals - before.refusals, 6);
      assert.equal(talk.frames.find((frame) => frame.name === 'refused')?.refusedSeq, first);
    },
  },
];
