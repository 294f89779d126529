import { describe, expect, test } from 'vitest';
import { Feeder } from '../../firmware-host/run/feeder';
import { Travel } from '../../firmware-host/run/travel';
import type { StandLink } from '../../firmware-host/stand/stand-link';
import { checkWalk } from '../../planner/steps/check-walk';
import { checkSegments } from '../../planner/steps/checker';
import { SEGMENT_BYTES } from '../../planner/steps/segment';
import { program } from '../support/programs';
import { seeded } from '../support/random';
import { planOf, quickStand } from './support';

const plan = planOf(
  program([{ turns: 2, nudge: { everyStrokes: 3, byMm: 6 } }, { turns: 1 }], { turntableRpm: 5 }),
  quickStand,
);

/** Takes segments as a stand does, with room that somebody else decides. */
function takingLink() {
  const taken: Uint8Array[] = [];
  const state = { room: 0 };
  const link = {
    room: () => state.room,
    push(segments: Uint8Array) {
      taken.push(segments.slice());
      state.room -= segments.length / SEGMENT_BYTES;
    },
  } as unknown as StandLink;
  return { link, state, taken, bytes: () => Uint8Array.from(taken.flatMap((batch) => [...batch])) };
}

describe('the feeder', () => {
  test('sends the same segments however the room comes, and tells the place in them', () => {
    const once = takingLink();
    once.state.room = 1e6;
    const whole = new Feeder(once.link, plan, quickStand, new Travel());
    whole.feed();
    expect(whole.allSent).toBe(true);

    const bits = takingLink();
    const random = seeded(7);
    const feeder = new Feeder(bits.link, plan, quickStand, new Travel());
    while (!feeder.allSent) {
      bits.state.room = Math.floor(random() * 9);
      feeder.feed();
      expect(bits.state.room === 0 || feeder.allSent).toBe(true);
    }
    expect(bits.bytes()).toEqual(once.bytes());

    const last = { segment: once.bytes().length / SEGMENT_BYTES - 1, ticksLeft: 0 };
    const { endSteps, travelSteps } = checkWalk(plan.path, plan.law, quickStand);
    const begin = feeder.stepsAt({ segment: -1, ticksLeft: 0 });
    expect(feeder.isEnd(last)).toBe(true);
    expect(feeder.stepsAt(last).map((steps, axis) => steps - begin[axis]!)).toEqual([...Object.values(endSteps), 0]);
    expect(feeder.walked(last)).toEqual([...Object.values(travelSteps), 0]);
    expect(feeder.turnsAt(last)).toBe(3);
  });

  test('travel told piece by piece adds up to the same, also in the middle of a segment', () => {
    const { link, state } = takingLink();
    state.room = 1e6;
    const feeder = new Feeder(link, plan, quickStand, new Travel());
    feeder.feed();
    let before = [0, 0, 0, 0, 0];
    for (let segment = 0; segment < 500; segment++)
      for (const ticksLeft of [200, 90, 0]) {
        const now = feeder.walked({ segment, ticksLeft });
        now.forEach((steps, axis) => {
          expect(steps).toBeGreaterThanOrEqual(before[axis]!);
        });
        before = now;
      }
    const direct = new Feeder(link, plan, quickStand, new Travel());
    state.room = 1e6;
    direct.feed();
    expect(direct.walked({ segment: 499, ticksLeft: 0 })).toEqual(before);
  });

  test('with an earlier end the stream stays one that the checker takes, without a seam', () => {
    for (const sent of [0, 40, 700, 1700, 1830]) {
      const { link, state, bytes } = takingLink();
      const feeder = new Feeder(link, plan, quickStand, new Travel());
      state.room = sent;
      feeder.feed();
      const end = feeder.restAtTurnEnd((toTurns) => plan.lawOf(0, toTurns));
      state.room = 1e6;
      feeder.feed();
      expect(feeder.allSent).toBe(true);
      expect(Number.isInteger(end)).toBe(true);
      const law = plan.lawOf(0, end);
      expect(checkSegments([bytes()], plan.path, law, quickStand, { mode: 'every tick' }), `${sent}`).toEqual([]);
      expect(feeder.turnsAt({ segment: bytes().length / SEGMENT_BYTES - 1, ticksLeft: 0 })).toBe(end);
    }
  });

  test('sends nothing that the check before sending refuses', () => {
    const { link, state, taken } = takingLink();
    state.room = 1000;
    const { stroke } = quickStand.axes;
    const weak = { ...quickStand, axes: { ...quickStand.axes, stroke: { ...stroke, maxAcceleration: 300 } } };
    const feeder = new Feeder(link, plan, weak, new Travel());
    expect(() => feeder.feed()).toThrow(/check before sending refused \(stroke: .* mm\/s2/);
    expect(taken).toEqual([]);
  });
});
