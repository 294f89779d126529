import { describe, expect, it } from 'vitest';
import { OPEN, Rig } from '../support/rig';
import { randomWalk, stepsOf } from '../support/segments';

const SEGMENTS = randomWalk(11, 2500);

async function begin(segments = SEGMENTS) {
  const rig = new Rig();
  await rig.ready();
  const before = rig.stand.truth();
  const walked = () => rig.stand.truth().steps.map((steps, axis) => steps - before.steps[axis]!);
  rig.feed(segments);
  rig.link.pace(1);
  rig.advance(2);
  expect(rig.status.pace).toBe(1);
  return { rig, walked };
}

describe('a host that is late', () => {
  it('by less than the queue holds makes the pace droop, and nothing fail', async () => {
    for (const seconds of [0.1, 0.2, 0.3, 0.4]) {
      const { rig, walked } = await begin();
      rig.hang(true);
      rig.advance(seconds);
      rig.hang(false);
      rig.untilEnd(SEGMENTS);
      expect(rig.status).toMatchObject({ underruns: 0, hostSilent: false, latchedStop: null });
      expect(walked()).toEqual(stepsOf(SEGMENTS).steps);
    }
  });

  it('by longer is waited for at rest on the path, lap up, drives held; then goes on by a new pace', async () => {
    const { rig, walked } = await begin();
    rig.hang(true);
    rig.advance(5);
    const silent = rig.status;
    expect(silent).toMatchObject({ atRest: true, hostSilent: true, lift: 'up', drivesOn: true, positionLost: false });
    expect(silent.latchedStop).toBeNull();
    expect(walked()).toEqual(stepsOf(SEGMENTS, silent.place).steps);
    rig.hang(false);
    rig.advance(0.5);
    expect(rig.status).toMatchObject({ hostSilent: false, atRest: true, place: silent.place });
    rig.link.pace(1);
    rig.untilEnd(SEGMENTS);
    expect(walked()).toEqual(stepsOf(SEGMENTS).steps);
  });

  it('knows every axis to the step from each report', async () => {
    const { rig, walked } = await begin();
    let compared = 0;
    for (const pace of [1, 0.5, 0.1, 0, 0.7]) {
      rig.link.pace(pace);
      rig.advance(0.6);
      rig.link.ease();
      rig.until('rest', (status) => status.atRest);
      rig.advance(0.1);
      expect(walked()).toEqual(stepsOf(SEGMENTS, rig.status.place).steps);
      compared++;
    }
    expect(compared).toBe(5);
  });
});

describe('a cable that comes out', () => {
  it('leaves the walk at a place the next link is told, from which the rest is walked', async () => {
    const { rig, walked } = await begin();
    rig.stand.unplug();
    expect(rig.losses).toEqual(['The line to the virtual stand was unplugged.']);
    rig.advance(3);
    rig.link.attach(rig.stand.pipe);
    const identity = await rig.settle(rig.link.open(OPEN));
    const before = identity.before;
    if (before === null) throw new Error('the stand does not tell where it stood');
    expect(walked()).toEqual(stepsOf(SEGMENTS, before).steps);
    expect(rig.status.drivesOn).toBe(true);
    // The rest of a segment begun cannot be walked alone; here the walk stopped where it had run out of segments.
    const rest = SEGMENTS.slice((before.segment + 1) * 8);
    const done = stepsOf(SEGMENTS, before).steps;
    const whole = stepsOf(SEGMENTS.subarray(0, (before.segment + 1) * 8)).steps;
    rig.walk(rest);
    const missing = whole.map((steps, axis) => steps - done[axis]!);
    expect(walked().map((steps, axis) => steps + missing[axis]!)).toEqual(stepsOf(SEGMENTS).steps);
  });

  it('and a controller that restarted meanwhile are told apart', async () => {
    const { rig } = await begin();
    rig.stand.unplug();
    rig.stand.reboot('watchdog');
    rig.advance(1);
    rig.link.attach(rig.stand.pipe);
    const identity = await rig.settle(rig.link.open(OPEN));
    expect(identity).toMatchObject({ before: null, bootCause: 'watchdog', bootId: 0x0b01 });
    rig.advance(0.1);
    expect(rig.status).toMatchObject({ drivesOn: false, positionLost: true, atRest: true });
  });
});

describe('a controller that restarts under way', () => {
  it('is reported as lost once', async () => {
    const { rig } = await begin();
    rig.stand.reboot('brown-out');
    rig.advance(3);
    expect(rig.losses.length).toBe(1);
    expect(rig.stand.truth().drivesEnabled).toBe(false);
  });
});
