import { describe, expect, it } from 'vitest';
import { FAULTS, type Fault, FaultyPipe } from '../support/faulty-pipe';
import { Rig } from '../support/rig';
import { randomWalk, stepsOf } from '../support/segments';

/** Walks a random walk over a damaged line; returns what to hold against the truth. */
async function walkOver(faults: readonly Fault[], seed: number, chance: number, count = 600) {
  let line: FaultyPipe | undefined;
  const rig = new Rig((pipe) => {
    line = new FaultyPipe(pipe, { seed, faults, toStand: chance, toHost: chance });
    return line;
  });
  await rig.ready();
  const before = rig.stand.truth();
  const segments = randomWalk(seed, count);
  line!.on = true;
  rig.walk(segments);
  line!.on = false;
  rig.advance(0.3);
  const after = rig.stand.truth();
  return {
    rig,
    done: line!.done,
    wanted: stepsOf(segments),
    walked: {
      steps: after.steps.map((steps, axis) => steps - before.steps[axis]!),
      travel: after.travel.map((steps, axis) => steps - before.travel[axis]!),
    },
  };
}

describe('a line that damages what it carries', () => {
  for (const fault of FAULTS) {
    it(`costs no step by ${fault}`, async () => {
      for (let seed = 1; seed <= 6; seed++) {
        const { rig, done, walked, wanted } = await walkOver([fault], seed, 0.05);
        expect(done).toBeGreaterThan(5);
        expect(walked).toEqual(wanted);
        expect(rig.status).toMatchObject({ latchedStop: null, positionLost: false, underruns: 0 });
      }
    });
  }

  it('costs no step by all of them together', async () => {
    for (let seed = 100; seed < 130; seed++) {
      const { rig, walked, wanted } = await walkOver(FAULTS, seed, 0.05);
      expect(walked).toEqual(wanted);
      expect(rig.status).toMatchObject({ latchedStop: null, positionLost: false, underruns: 0 });
    }
  });

  it('is told by named counters on both sides', async () => {
    const flipped = await walkOver(['flip'], 7, 0.06);
    expect(flipped.rig.status.counters.crc + flipped.rig.status.counters.aborted).toBeGreaterThan(0);
    expect(flipped.rig.status.counters.sequence).toBeGreaterThan(0);
    const host = flipped.rig.link.counters();
    expect(host.crc + host.aborted + host.length).toBeGreaterThan(0);
    const repeated = await walkOver(['repeat'], 7, 0.3);
    expect(repeated.rig.status.counters).toEqual({
      crc: 0,
      length: 0,
      type: 0,
      link: 0,
      sequence: 0,
      aborted: 0,
      overrun: 0,
      refused: 0,
    });
  });

  it('carries a whole course, from the opening of the link to a flush at the end, on the wires there are', async () => {
    // A serial line loses and garbles; it does not repeat or reorder.
    const faults: readonly Fault[] = ['drop', 'flip', 'lose', 'noise', 'cut'];
    for (let seed = 200; seed < 240; seed++) {
      const rig = new Rig((pipe) => {
        const line = new FaultyPipe(pipe, { seed, faults, toStand: 0.05, toHost: 0.05 });
        line.on = true;
        return line;
      });
      await rig.ready();
      const before = rig.stand.truth();
      const segments = randomWalk(seed, 300);
      rig.walk(segments);
      const stood = await rig.settle(rig.link.flush());
      expect(stood).toEqual({ segment: segments.length / 8 - 1, ticksLeft: 0 });
      expect(rig.stand.truth().steps.map((steps, axis) => steps - before.steps[axis]!)).toEqual(
        stepsOf(segments).steps,
      );
      expect(rig.status).toMatchObject({ latchedStop: null, positionLost: false });
    }
  });
});
