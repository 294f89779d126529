import { describe, expect, it } from 'vitest';
import type { StandStatus } from '../../firmware-host/stand/stand-link';
import { demoStand } from '../support/programs';
import { OPEN, Rig } from '../support/rig';
import { concat, REST, randomWalk, segment, stepsOf } from '../support/segments';

const STEPS_PER_TURN = demoStand.axes.turntable.stepsPerUnit;
/** Where the rig's turntable stands past its index at the beginning. */
const START_TURNS = 0.25;

/** The turntable at 18,745 steps a second, for so many turns. */
function turning(turns: number): Uint8Array {
  const count = Math.ceil((turns * STEPS_PER_TURN) / 119.5);
  return concat([...Array.from({ length: count }, (_, i) => segment(255, [i % 2 === 0 ? 119 : 120])), REST]);
}

/** Every index edge the stand tells during a walk, as steps of the turntable since its start. */
function indexEdges(rig: Rig, segments: Uint8Array, meanwhile: (status: StandStatus) => void = () => {}): number[] {
  const edges: number[] = [];
  let count = rig.status.index.count;
  const stop = rig.link.onStatus((status) => {
    meanwhile(status);
    if (status.index.count === count || status.index.place === null) return;
    expect(status.index.count).toBe(count + 1);
    count = status.index.count;
    edges.push(stepsOf(segments, status.index.place).steps[0]!);
  });
  rig.walk(segments, 120);
  stop();
  return edges;
}

describe('the index', () => {
  it('comes once a turn where a turn is no whole number of steps, to within the samples it takes to be believed', async () => {
    const rig = new Rig();
    await rig.ready();
    const edges = indexEdges(rig, turning(8));
    expect(edges.length).toBe(8);
    edges.forEach((steps, turn) => {
      const late = steps - (turn + 1 - START_TURNS) * STEPS_PER_TURN;
      expect(late).toBeGreaterThanOrEqual(0);
      expect(late).toBeLessThan(4);
    });
  });

  it('comes early by what the table slipped forward', async () => {
    const rig = new Rig();
    await rig.ready();
    let slipped = false;
    const edges = indexEdges(rig, turning(3), (status) => {
      if (slipped || status.index.count === 0) return;
      slipped = true;
      rig.stand.slip('turntable', 0.3);
    });
    expect(edges.length).toBe(3);
    const early = edges[0]! + STEPS_PER_TURN - edges[1]!;
    expect(Math.abs(early - (0.3 / 360) * STEPS_PER_TURN)).toBeLessThan(4);
    expect(Math.abs(edges[2]! - edges[1]! - STEPS_PER_TURN)).toBeLessThan(4);
  });
});

describe('limit switches', () => {
  it('stand two millimetres beyond the travel and stop the walk there, drives off', async () => {
    const rig = new Rig();
    await rig.ready();
    rig.feed(concat(Array.from({ length: 400 }, () => segment(200, [0, 20]))));
    rig.link.pace(1);
    const stopped = rig.until('limit', (status) => status.latchedStop !== null);
    expect(stopped).toMatchObject({ latchedStop: 'limit', drivesOn: false, positionLost: true });
    expect(stopped.inputs).toMatchObject({ strokeHigh: true, strokeLow: false });
    const beyond = rig.stand.truth().steps[1]! - 122 * 40;
    expect(beyond).toBeGreaterThanOrEqual(0);
    expect(beyond).toBeLessThanOrEqual(2);
  });
});

describe('the lift', () => {
  it('takes its travel time each way, and tells when the lap is free of the glass', async () => {
    const rig = new Rig();
    await rig.ready();
    const seconds = (what: string, done: (status: StandStatus) => boolean): number => {
      const begun = rig.status.clockSeconds;
      return rig.until(what, done).clockSeconds - begun;
    };
    expect(rig.stand.truth().liftHeight).toBe(1);
    rig.link.lift('down');
    const down = seconds('down', (status) => status.lift === 'down');
    expect(Math.abs(down - demoStand.lift.travelSeconds)).toBeLessThan(0.05);
    expect(rig.stand.truth().liftHeight).toBe(0);
    expect(rig.status.inputs).toMatchObject({ liftDown: true, liftUp: false, freeOfGlass: false });
    rig.link.lift('up');
    const free = seconds('free', (status) => status.inputs.freeOfGlass);
    const up = seconds('up', (status) => status.lift === 'up');
    expect(Math.abs(free - demoStand.lift.travelSeconds / 4)).toBeLessThan(0.05);
    expect(Math.abs(free + up - demoStand.lift.travelSeconds)).toBeLessThan(0.05);
  });

  it('that sticks latches the stop of a late lift after its time-out, drives held', async () => {
    const rig = new Rig();
    await rig.ready();
    rig.stand.stickLift(true);
    rig.link.lift('down');
    const begun = rig.status.clockSeconds;
    const late = rig.until('stop', (status) => status.latchedStop !== null);
    expect(late).toMatchObject({ latchedStop: 'lift late', drivesOn: true, positionLost: false });
    expect(Math.abs(late.clockSeconds - begun - OPEN.liftTimeoutMs / 1000)).toBeLessThan(0.1);
    rig.stand.stickLift(false);
    rig.until('up', (status) => status.lift === 'up');
    rig.link.clear();
    rig.until('cleared', (status) => status.latchedStop === null);
  });
});

describe('faults', () => {
  it('held on an input are told and let go again', async () => {
    const rig = new Rig();
    await rig.ready();
    rig.stand.force('halt', true);
    rig.stand.force('liftUp', false);
    rig.advance(0.2);
    expect(rig.status).toMatchObject({ latchedStop: 'halt', inputs: { halt: true, liftUp: false } });
    rig.stand.force('halt', null);
    rig.stand.force('liftUp', null);
    rig.advance(0.2);
    expect(rig.status.inputs).toMatchObject({ halt: false, liftUp: true });
  });

  it('that take the drives off leave the motors where they stand', async () => {
    const rig = new Rig();
    await rig.ready();
    rig.feed(randomWalk(2, 1000));
    rig.link.pace(1);
    rig.advance(1);
    rig.stand.force('driveFault', true);
    rig.advance(0.2);
    const stood = rig.stand.truth();
    expect(stood.drivesEnabled).toBe(false);
    rig.advance(2);
    expect(rig.stand.truth().steps).toEqual(stood.steps);
  });
});

describe('a restart of the controller', () => {
  it('leaves the mechanism where it stood and the truth counting on', async () => {
    const rig = new Rig();
    await rig.ready();
    rig.walk(randomWalk(4, 200));
    const before = rig.stand.truth();
    rig.stand.reboot('power');
    rig.advance(0.1);
    const after = rig.stand.truth();
    expect(after).toMatchObject({ steps: before.steps, travel: before.travel, liftHeight: 1, drivesEnabled: false });
    expect(after.turntableTurns).toBeCloseTo(before.turntableTurns, 9);
    expect(after.lapTurns).toBeCloseTo(before.lapTurns, 9);
    expect(after.seconds).toBeCloseTo(before.seconds + 0.1, 3);
    const identity = await rig.settle(rig.link.open(OPEN));
    expect(identity).toMatchObject({ bootCause: 'power', bootId: 0x0b01, before: null });
  });

  it('in the middle of a descent finds the lap where it was', async () => {
    const rig = new Rig();
    await rig.ready();
    rig.link.lift('down');
    rig.advance(0.5);
    const height = rig.stand.truth().liftHeight;
    expect(height).toBeGreaterThan(0.2);
    expect(height).toBeLessThan(0.6);
    rig.stand.reboot('watchdog');
    expect(rig.stand.truth().liftHeight).toBe(height);
    rig.advance(0.1);
    expect(rig.stand.truth().liftHeight).toBeCloseTo(height + 0.1 / demoStand.lift.travelSeconds, 3);
    rig.advance(1);
    expect(rig.stand.truth().liftHeight).toBe(1);
  });
});

describe('what went on', () => {
  it('is told piece by piece and adds up to the truth', async () => {
    const rig = new Rig();
    await rig.ready();
    const before = rig.stand.truth();
    const sum = [0, 0, 0, 0, 0];
    let seconds = before.seconds;
    const stop = rig.stand.onMotion(({ from, to }) => {
      expect(from.seconds).toBe(seconds);
      seconds = to.seconds;
      for (let axis = 0; axis < 5; axis++) sum[axis]! += to.steps[axis]! - from.steps[axis]!;
    });
    rig.walk(randomWalk(6, 300));
    stop();
    const after = rig.stand.truth();
    expect(sum).toEqual(after.steps.map((steps, axis) => steps - before.steps[axis]!));
    expect(seconds).toBe(after.seconds);
    rig.advance(1);
    expect(seconds).toBe(after.seconds);
  });
});
