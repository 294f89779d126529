/** SPEC section 3: pace and the easing law. */
import assert from 'node:assert/strict';
import { concat, REST, randomWalk, segment, stepsOf } from '../../support/segments';
import { even, fullPace, onPath, REASON, ready, STATE } from './begin';
import { type Case, TICK_HZ } from './port';
import type { Talk } from './talk';

function levels(talk: Talk): number[] {
  return talk.frames.flatMap((frame) => (frame.name === 'status' ? [frame.paceLevel] : []));
}

/** S(k) of the SPEC, path ticks per controller tick. */
function rate(level: number): number {
  const x = level / 64;
  return Math.round(32768 * (3 * x * x - 2 * x * x * x)) / 32768;
}

/** D(k) of the SPEC. */
function reach(level: number, rampMs: number): number {
  const interval = Math.floor((40 * rampMs + 32) / 64);
  let ticks = 1;
  for (let k = 4; k <= level; k++) ticks += Math.ceil((interval + 1) * rate(k));
  return ticks;
}

export const PACE_CASES: Case[] = [
  {
    section: 3,
    rule: 'full pace walks one path tick each tick, a level k the share S(k) of it',
    run(port) {
      const talk = ready(port);
      talk.push(even(120));
      for (const level of [64, 32, 10]) {
        talk.do(talk.pace(level));
        talk.until(`level ${level}`, 1, () => (talk.last('status')?.paceLevel === level ? true : undefined));
        talk.run(0.01);
        const before = talk.edges.length;
        talk.run(0.05);
        const made = talk.edges.length - before;
        const wanted = (0.05 * TICK_HZ * rate(level)) / 4;
        assert.ok(Math.abs(made - wanted) <= 1, `${made} steps at level ${level}, ${wanted} wanted`);
      }
    },
  },
  {
    section: 3,
    rule: 'the ramp from rest to full pace takes the ramp time of the open, level by level, leaving out 1 to 3',
    run(port) {
      for (const rampMs of [50, 200]) {
        const talk = ready(port, { rampMs });
        talk.push(even(110));
        talk.say(talk.pace(64));
        const begun = talk.until('the start', 0.2, () => talk.edges[0]?.tick);
        let full: number | undefined;
        talk.until('full pace', 1, () => {
          const recent = talk.edges.slice(-6);
          if (recent.length === 6 && recent.every((edge, i) => i === 0 || edge.tick - recent[i - 1]!.tick === 4)) {
            full ??= recent[0]!.tick;
          }
          return full;
        });
        const took = (full! - begun) / 40;
        assert.ok(took > 0.5 * rampMs && took <= rampMs, `from the first step to full pace ${took} ms of ${rampMs}`);
        assert.ok(levels(talk).every((level) => level === 0 || level >= 4));
        talk.rest();
        port.edges();
      }
    },
  },
  {
    section: 3,
    rule: 'a target of 1 to 3 acts as 4',
    run(port) {
      const talk = ready(port);
      talk.push(even(20));
      talk.do(talk.pace(1));
      talk.run(0.1);
      const status = talk.status();
      assert.deepEqual([status.paceLevel, status.paceTarget], [4, 4]);
    },
  },
  {
    section: 3,
    rule: 'an ease stays on the path and comes to rest within D of the level it began at',
    run(port) {
      const talk = ready(port, { rampMs: 200 });
      const segments = randomWalk(31, 110, port.axes);
      talk.push(segments);
      talk.do(talk.pace(64));
      fullPace(talk);
      const ticksTo = (begun: number, left: number): number => {
        let ticks = -left;
        for (let i = 0; i < begun; i++) ticks += segments[i * 8]!;
        return ticks;
      };
      const before = talk.status();
      const after = talk.rest();
      const walked = ticksTo(after.segmentsBegun, after.ticksLeft) - ticksTo(before.segmentsBegun, before.ticksLeft);
      // Between the report and the ease lie the report's own way and the ease's: 10 ms of full pace at most.
      assert.ok(walked <= reach(64, 200) + 400, `${walked} path ticks`);
      onPath(talk, segments, after);
    },
  },
  {
    section: 3,
    rule: 'an ease is obeyed whatever sequence numbers are behind',
    run(port) {
      const talk = ready(port);
      talk.push(even(100));
      talk.do(talk.pace(64));
      talk.seq = (talk.seq + 9) & 0xff;
      talk.say({ name: 'clear' });
      talk.rest();
    },
  },
  {
    section: 3,
    rule: 'a queue that runs short makes the pace droop to rest on the path: counted as droop and one underrun, no stop',
    run(port) {
      const talk = ready(port);
      const segments = even(30);
      talk.push(segments);
      talk.do(talk.pace(64));
      talk.run(0.6);
      const status = talk.status();
      assert.deepEqual([status.paceLevel, status.paceTarget, status.underruns, status.latchedStop], [0, 64, 1, 0]);
      assert.ok(status.droopTicks > 0);
      assert.equal(status.state & (STATE.drivesOn | STATE.lost), 1, 'drives on, position kept');
      onPath(talk, segments, status);
    },
  },
  {
    section: 3,
    rule: 'a queue that runs short and is filled in time droops without an underrun',
    run(port) {
      const talk = ready(port, { rampMs: 200 });
      talk.push(even(60));
      talk.do(talk.pace(64));
      talk.until('droop', 1, () => ((talk.last('status')?.droopTicks ?? 0) > 0 ? true : undefined));
      const drooped = talk.status().paceLevel;
      assert.ok(drooped > 0 && drooped < 64);
      talk.push(even(60));
      talk.run(0.1);
      const status = talk.status();
      assert.equal(status.underruns, 0);
      assert.ok(status.paceLevel > drooped);
    },
  },
  {
    section: 3,
    rule: 'from rest the walk starts only with D(8) path ticks queued, or a rest',
    run(port) {
      const talk = ready(port, { rampMs: 1000 });
      const needed = reach(8, 1000);
      const short = segment(20, [5]);
      const few = Math.floor((needed - 1) / 20);
      talk.do({ name: 'segments', segments: concat(Array.from({ length: few }, () => short)) });
      talk.do(talk.pace(64));
      talk.run(0.2);
      const waiting = talk.status();
      assert.equal(waiting.paceLevel, 0);
      assert.ok(waiting.droopTicks > 0, 'waiting for the queue counts as droop');
      assert.equal(talk.edges.length, 0);
      talk.do({ name: 'segments', segments: short });
      talk.run(0.1);
      assert.ok(talk.edges.length > 0);
    },
  },
  {
    section: 3,
    rule: 'with a rest queued even a short walk is walked to its end',
    run(port) {
      const talk = ready(port, { rampMs: 1000 });
      const segments = concat([segment(40, [2]), REST]);
      talk.walk(segments);
      assert.deepEqual(talk.motors(), stepsOf(segments));
      assert.equal(talk.status().underruns, 0);
    },
  },
  {
    section: 3,
    rule: 'a pace asked for before a planned rest was reached does not start the walk out of it',
    run(port) {
      const talk = ready(port);
      const late = talk.pace(64);
      talk.walk(concat([segment(100, [10]), REST]));
      talk.push(even(20));
      talk.refused(late, REASON.stale);
      talk.run(0.1);
      assert.equal(talk.motors().steps[0], 10);
      talk.do(talk.pace(64));
    },
  },
  {
    section: 3,
    rule: 'a pace sent again after an ease does not undo it; a newer one does',
    run(port) {
      const talk = ready(port);
      talk.push(even(100));
      const old = talk.pace(64);
      talk.do(old);
      talk.rest();
      talk.refused(old, REASON.stale);
      assert.equal(talk.status().paceTarget, 0);
      talk.do(talk.pace(64));
      assert.equal(talk.status().paceTarget, 64);
    },
  },
];
