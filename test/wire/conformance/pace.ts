/** SPEC section 3: pace and the easing law. */
import assert from 'node:assert/strict';
import type { StatusFrame } from '../../../firmware-host/wire/frame-table';
import { concat, REST, segment, stepsOf } from '../../support/segments';
import { even, fullPace, longEven, longWalk, onPath, REASON, ready, STATE } from './begin';
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

/** Path ticks walked of these segments. */
function walked(segments: Uint8Array, { segmentsBegun, ticksLeft }: StatusFrame): number {
  let ticks = -ticksLeft;
  for (let i = 0; i < segmentsBegun; i++) ticks += segments[i * 8]!;
  return ticks;
}

/** All reports of so long a time, some milliseconds apart: a command that changes nothing is acknowledged by one at once. */
function watch(talk: Talk, seconds: number): StatusFrame[] {
  const heard = talk.frames.length;
  for (let at = 0; at < seconds; at += 0.004) {
    talk.say({ name: 'seek', mask: 0, levels: 0, on: 0 });
    talk.run(0.004);
  }
  return talk.frames.slice(heard).filter((frame) => frame.name === 'status');
}

export const PACE_CASES: Case[] = [
  {
    section: 3,
    rule: 'full pace walks one path tick each tick, a level k the share S(k) of it',
    run(port) {
      const talk = ready(port);
      const segments = longEven(port);
      talk.begin(segments);
      for (const level of [64, 32, 10]) {
        talk.do(talk.pace(level));
        talk.until(`level ${level}`, 1, () => (talk.last('status')?.paceLevel === level ? true : undefined));
        talk.run(0.01);
        const from = talk.status();
        const edges = talk.edges.length;
        talk.run(0.1);
        const stepped = talk.edges.length - edges;
        const to = talk.status();
        const wanted = (to.clockTicks - from.clockTicks) * rate(level);
        const made = walked(segments, to) - walked(segments, from);
        // A report's clock is that of its pass of the main loop, its place that of the moment: at most a millisecond apart.
        const apart = 1 + 0.001 * TICK_HZ * rate(level);
        assert.ok(Math.abs(made - wanted) <= apart, `${made} path ticks at level ${level}, ${wanted} wanted`);
        // A step of the turntable in four path ticks.
        const steps = (0.1 * TICK_HZ * rate(level)) / 4;
        if (talk.seesSteps())
          assert.ok(Math.abs(stepped - steps) <= 1, `${stepped} steps at level ${level}, ${steps} wanted`);
        port.note?.('measured', `level ${level}: ${made} path ticks, ${wanted.toFixed(1)} by the law`);
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
        // By the board's own clock, between reports that lie close together.
        const before = talk.status();
        talk.say(talk.pace(64));
        const reports = [before, ...watch(talk, rampMs / 1000 + 0.1 + talk.latencySeconds)];
        const first = (level: number): number => reports.findIndex(({ paceLevel }) => paceLevel >= level);
        const clockOf = (place: number): number => reports[place]!.clockTicks;
        assert.ok(first(64) > 0, `level ${reports.at(-1)!.paceLevel} at the end of the ramp`);
        const least = (clockOf(first(64) - 1) - clockOf(first(1))) / 40;
        const most = (clockOf(first(64)) - clockOf(first(1) - 1)) / 40;
        const words = `from rest to full pace in ${least.toFixed(1)} to ${most.toFixed(1)} ms (ramp ${rampMs} ms)`;
        port.note?.('measured', words);
        assert.ok(least <= rampMs + 1 && most >= 0.9 * rampMs, words);
        assert.ok(levels(talk).every((level) => level === 0 || level >= 4));
        talk.rest();
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
      const segments = longWalk(port, 31);
      talk.begin(segments);
      fullPace(talk);
      const before = talk.status();
      const after = talk.rest();
      const ticks = walked(segments, after) - walked(segments, before);
      // Between the report and the ease lie the report's own way and the ease's: 10 ms of full pace at most, and the line's latency.
      port.note?.('measured', `${ticks} path ticks from the report before to rest`);
      assert.ok(ticks <= reach(64, 200) + 400 + port.latencyTicks, `${ticks} path ticks`);
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
      const before = talk.status();
      talk.push(segments);
      talk.do(talk.pace(64));
      talk.run(0.6);
      const status = talk.status();
      const underruns = status.underruns - before.underruns;
      assert.deepEqual([status.paceLevel, status.paceTarget, underruns, status.latchedStop], [0, 64, 1, 0]);
      assert.ok(status.droopTicks > before.droopTicks);
      assert.equal(status.state & (STATE.drivesOn | STATE.lost), 1, 'drives on, position kept');
      onPath(talk, segments, status);
    },
  },
  {
    section: 3,
    rule: 'a queue that runs short and is filled in time droops without an underrun',
    run(port) {
      const talk = ready(port, { rampMs: 200 });
      const before = talk.status();
      talk.push(even(60));
      talk.do(talk.pace(64));
      talk.until('droop', 1, () => {
        const { droopTicks, paceLevel } = talk.last('status')!;
        return droopTicks > before.droopTicks && paceLevel > 0 && paceLevel < 64 ? true : undefined;
      });
      for (let i = 0; i < 9; i++) talk.say({ name: 'segments', segments: even(7) });
      fullPace(talk);
      assert.equal(talk.status().underruns, before.underruns);
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
      const before = talk.status();
      talk.do({ name: 'segments', segments: concat(Array.from({ length: few }, () => short)) });
      talk.do(talk.pace(64));
      talk.run(0.2);
      const waiting = talk.status();
      assert.deepEqual([waiting.paceLevel, waiting.segmentsBegun, waiting.ticksLeft], [0, 1, 20]);
      assert.ok(waiting.droopTicks > before.droopTicks, 'waiting for the queue counts as droop');
      talk.stepped(false);
      talk.do({ name: 'segments', segments: short });
      talk.run(0.1);
      assert.ok(talk.status().segmentsBegun > 1);
      talk.stepped(true);
    },
  },
  {
    section: 3,
    rule: 'with a rest queued even a short walk is walked to its end',
    run(port) {
      const talk = ready(port, { rampMs: 1000 });
      const segments = concat([segment(40, [2]), REST]);
      const { underruns } = talk.status();
      talk.walk(segments);
      talk.made(stepsOf(segments));
      assert.equal(talk.status().underruns, underruns);
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
      assert.equal(talk.status().restsReached, 1);
      talk.made(stepsOf(segment(100, [10])));
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
