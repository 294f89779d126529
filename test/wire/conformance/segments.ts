/** SPEC sections 1 and 2: segments, the ring and its numbers. */
import assert from 'node:assert/strict';
import { walkSegments } from '../../support/dda';
import { concat, REST, randomWalk, segment, stepsOf } from '../../support/segments';
import { dwell, onPath, REASON, ready, STATE, STOP } from './begin';
import type { Case, Port } from './port';
import type { Talk } from './talk';

/** A segment with one byte set to what it may not be. */
function spoilt(place: number, value: number): Uint8Array {
  const bytes = segment(100, [10]);
  bytes[place] = value;
  return bytes;
}

function breaks(rule: number, segments: Uint8Array, place: number): (port: Port) => void {
  return (port) => {
    const talk = ready(port);
    const detail = talk.refused({ name: 'segments', segments }, REASON.rule);
    assert.deepEqual({ place: detail & 15, rule: detail >> 4 }, { place, rule });
    const status = talk.status();
    assert.equal(status.segmentsAccepted, 0, 'a frame is refused whole');
    assert.equal(status.latchedStop, STOP.segment);
    talk.refused({ name: 'segments', segments: segment(100, [10]) }, REASON.gap);
    talk.do({ name: 'flush' });
    talk.do({ name: 'segments', segments: segment(100, [10]) });
    assert.equal(talk.status().segmentsAccepted, 1);
  };
}

/** Turns an axis round between two segments and tells whether the board took both. */
function turnsRound(port: Port, ticks: number, first: number, second: number, inOneFrame: boolean): boolean {
  const talk = ready(port);
  const parts = [segment(ticks, [0, first]), segment(ticks, [0, -second])];
  const frames = inOneFrame ? [concat(parts)] : parts;
  return frames.every((segments) => talk.ask({ name: 'segments', segments }) === undefined);
}

export const SEGMENT_CASES: Case[] = [
  {
    section: 1,
    needs: 'emulation',
    rule: 'a walk of any segments makes exactly their steps, in their senses',
    run(port) {
      const talk = ready(port);
      const segments = randomWalk(3, 400, port.axes);
      talk.walk(segments);
      assert.deepEqual(talk.motors(), stepsOf(segments));
    },
  },
  {
    section: 1,
    needs: 'emulation',
    rule: 'at full pace each step comes at its tick: remainder from half the ticks, one path tick each tick, no gap between segments',
    run(port) {
      const talk = ready(port);
      const run = randomWalk(9, 60, port.axes);
      // The run-up brings the pace to full before the first step, the run-out keeps it there until the last.
      const segments = concat([dwell(20), run.subarray(0, 60 * 8), dwell(20)]);
      segments.subarray(0, 20 * 8).forEach((_, at) => {
        if (at % 8 === 2) segments[at] = run[2]!;
      });
      segments.subarray(80 * 8).forEach((_, at) => {
        if (at % 8 === 2) segments[80 * 8 + at] = run[59 * 8 + 2]!;
      });
      talk.push(segments);
      talk.do(talk.pace(64));
      talk.run(0.5);
      const wanted: [number, number, number][] = [];
      let before = [0, 0, 0, 0, 0];
      walkSegments(segments, before, (tick, at) => {
        for (let axis = 0; axis < 5; axis++) {
          if (at[axis] !== before[axis]) wanted.push([tick, axis, at[axis]! - before[axis]!]);
        }
        before = [...at];
      });
      const first = talk.edges[0]!.tick - wanted[0]![0];
      const made = talk.edges.map(({ tick, axis, sense }) => [tick - first, axis, sense]);
      const order = (a: number[], b: number[]): number => a[0]! - b[0]! || a[1]! - b[1]!;
      assert.deepEqual(made.sort(order), wanted.sort(order));
    },
  },
  { section: 1, rule: 'fewer than 20 ticks are refused', run: breaks(1, spoilt(0, 19), 0) },
  { section: 1, rule: 'an unknown flag is refused', run: breaks(2, spoilt(1, 0x02), 0) },
  { section: 1, rule: 'a direction of no axis is refused', run: breaks(3, spoilt(2, 0x20), 0) },
  { section: 1, rule: 'more steps than half the ticks are refused', run: breaks(4, spoilt(3, 51), 0) },
  {
    section: 1,
    rule: 'the place of the broken segment in its frame is told',
    run: breaks(4, concat([segment(100, [50]), segment(100, [50]), spoilt(4, 51), segment(100, [50])]), 2),
  },
  {
    section: 1,
    rule: 'an axis the board has not must not step; one it has may',
    run(port) {
      if (port.axes === 4) return breaks(5, spoilt(7, 1), 0)(port);
      const talk = ready(port);
      const segments = concat([segment(200, [0, 0, 0, 0, 9]), REST]);
      talk.walk(segments);
      talk.made(stepsOf(segments));
    },
  },
  {
    section: 1,
    rule: 'a sign may change where 4 times the steps fit into the ticks of both neighbours, and only there',
    run: (port) => assert.ok(turnsRound(port, 100, 25, 25, true)),
  },
  {
    section: 1,
    rule: 'a sign that changes after too many steps is refused',
    run: breaks(6, concat([segment(100, [0, 26]), segment(100, [0, -1])]), 1),
  },
  {
    section: 1,
    rule: 'a sign that changes before too many steps is refused',
    run: breaks(6, concat([segment(100, [0, 1]), segment(100, [0, -26])]), 1),
  },
  {
    section: 1,
    rule: 'the sign rule holds across frames',
    run: (port) => assert.ok(!turnsRound(port, 100, 26, 1, false)),
  },
  {
    section: 1,
    rule: 'the first segment after a flush or an open has none before it',
    run(port) {
      const talk = ready(port);
      talk.do({ name: 'segments', segments: segment(100, [0, 50]) });
      talk.do({ name: 'flush' });
      talk.do({ name: 'segments', segments: segment(100, [0, -50]) });
      talk.open({ proposedLink: 78 });
      talk.do({ name: 'segments', segments: segment(100, [0, 50]) });
    },
  },
  {
    section: 1,
    rule: 'a planned rest at up to a sixteenth of a step a tick is taken',
    run: (port) => ready(port).do({ name: 'segments', segments: segment(160, [10, 10], true) }),
  },
  { section: 1, rule: 'a planned rest that is faster is refused', run: breaks(7, segment(160, [0, 11], true), 0) },
  {
    section: 1,
    rule: 'at a planned rest the walk stands still until a new pace, and rests are counted',
    run(port) {
      const talk = ready(port);
      const leg = concat([segment(200, [20]), REST]);
      talk.walk(concat([leg]));
      talk.push(leg);
      talk.run(0.2);
      const status = talk.status();
      assert.deepEqual(
        [status.paceLevel, status.paceTarget, status.state & STATE.rest, status.restsReached],
        [0, 0, 0x20, 1],
      );
      talk.made(stepsOf(leg));
      talk.do(talk.pace(64));
      talk.until('the second rest', 2, () => (talk.last('status')?.restsReached === 2 ? true : undefined));
      talk.made(stepsOf(concat([leg, leg])));
    },
  },
  {
    section: 1,
    rule: 'a dwell is walked and moves nothing',
    run(port) {
      const talk = ready(port);
      talk.walk(concat([dwell(30), REST]));
      talk.stepped(false);
      assert.equal(talk.status().segmentsBegun, 31);
    },
  },
  {
    section: 1,
    rule: 'after a refused frame an open, too, takes segments again',
    run(port) {
      const talk = ready(port);
      talk.refused({ name: 'segments', segments: spoilt(0, 0) }, REASON.rule);
      talk.open({ proposedLink: 99 });
      talk.do({ name: 'segments', segments: segment(100, [10]) });
    },
  },
  {
    section: 2,
    rule: 'the ring holds 128 segments beside the one being walked; one more is refused and leaves a gap',
    run(port) {
      const talk = ready(port);
      assert.equal(talk.status().ringFree, 128);
      talk.push(dwell(129));
      const full = talk.status();
      assert.deepEqual([full.ringFree, full.segmentsAccepted, full.segmentsBegun], [0, 129, 1]);
      talk.refused({ name: 'segments', segments: dwell(1) }, REASON.full);
      talk.refused({ name: 'segments', segments: dwell(1) }, REASON.gap);
      assert.equal(talk.status().latchedStop, STOP.segment);
    },
  },
  {
    section: 2,
    rule: 'segments are numbered from 0 after an open and after a flush',
    run(port) {
      const talk = ready(port);
      talk.do({ name: 'segments', segments: dwell(5) });
      assert.deepEqual(pick(talk), [5, 1, 255]);
      talk.do({ name: 'flush' });
      assert.deepEqual(pick(talk), [0, 0, 0]);
      talk.do({ name: 'segments', segments: dwell(2) });
      talk.open({ proposedLink: 5 });
      talk.run(0.05);
      assert.deepEqual(pick(talk), [0, 0, 0]);
    },
  },
  {
    section: 2,
    needs: 'emulation',
    rule: 'the place tells every axis to the step wherever the walk stands',
    run(port) {
      const talk = ready(port);
      const segments = randomWalk(21, 300, port.axes);
      talk.push(segments.subarray(0, 126 * 8));
      for (const pace of [64, 20]) {
        talk.do(talk.pace(pace));
        talk.run(0.07);
        onPath(talk, segments, talk.rest());
      }
    },
  },
];

function pick(talk: Talk): number[] {
  const { segmentsAccepted, segmentsBegun, ticksLeft } = talk.status();
  return [segmentsAccepted, segmentsBegun, ticksLeft];
}
