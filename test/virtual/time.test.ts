import { describe, expect, it } from 'vitest';
import { VirtualClock } from '../../firmware-host/stand/clock';
import { runInRealTime } from '../../firmware-host/virtual/real-time';
import { Simulation } from '../../firmware-host/virtual/simulation';
import { FAULTS, FaultyPipe } from '../support/faulty-pipe';
import { Rig } from '../support/rig';
import { randomWalk } from '../support/segments';

describe('a virtual clock', () => {
  it('fires alarms in order of their time, equal ones in order of setting, each at its own time', () => {
    const clock = new VirtualClock();
    const fired: [string, number][] = [];
    const alarm = (name: string, seconds: number) => clock.after(seconds, () => fired.push([name, clock.now()]));
    alarm('late', 3);
    alarm('first', 1);
    alarm('second', 1);
    alarm('called off', 2)();
    clock.advanceTo(2.5);
    expect(fired).toEqual([
      ['first', 1],
      ['second', 1],
    ]);
    expect(clock.now()).toBe(2.5);
    expect(clock.nextDue()).toBe(3);
    clock.advanceTo(3);
    expect(fired.at(-1)).toEqual(['late', 3]);
    expect(clock.nextDue()).toBe(Number.POSITIVE_INFINITY);
  });

  it('fires alarms that alarms set, and never goes back', () => {
    const clock = new VirtualClock();
    const times: number[] = [];
    const again = (): void => {
      times.push(clock.now());
      clock.after(0.25, again);
    };
    again();
    clock.advanceTo(1);
    expect(times).toEqual([0, 0.25, 0.5, 0.75, 1]);
    clock.advanceTo(0.1);
    expect(clock.now()).toBe(1);
  });
});

describe('a simulation', () => {
  it('takes stands and clock along by the same time', () => {
    const simulation = new Simulation();
    let total = 0;
    let most = 0;
    simulation.add({
      advance: (seconds) => {
        total += seconds;
        most = Math.max(most, seconds);
      },
    });
    simulation.clock.after(0.0123, () => {});
    simulation.advance(1.2345);
    expect(total).toBeCloseTo(1.2345, 9);
    expect(simulation.clock.now()).toBeCloseTo(1.2345, 9);
    expect(most).toBeLessThanOrEqual(0.005 + 1e-9);
  });

  it('gives up waiting when the limit has gone by', () => {
    const simulation = new Simulation();
    expect(simulation.advanceUntil(() => simulation.clock.now() >= 0.5, 1)).toBe(true);
    expect(simulation.advanceUntil(() => false, 1)).toBe(false);
    expect(simulation.clock.now()).toBeLessThan(1.6);
  });

  it('follows a clock on the wall at a factor, and lets what it slept through go by', () => {
    const wall = new VirtualClock();
    const simulation = new Simulation();
    const stop = runInRealTime(simulation, 3, wall);
    wall.advanceTo(2);
    const reached = simulation.clock.now();
    // At most one interval of the driver behind.
    expect(6 - reached).toBeGreaterThanOrEqual(-1e-9);
    expect(6 - reached).toBeLessThan(0.031);
    stop();
    wall.advanceTo(4);
    expect(simulation.clock.now()).toBe(reached);

    let now = 0;
    let due: (() => void) | undefined;
    const asleep = {
      now: () => now,
      after: (_: number, act: () => void) => {
        due = act;
        return () => {};
      },
    };
    const slept = new Simulation();
    runInRealTime(slept, 1, asleep);
    now = 60;
    due!();
    expect(slept.clock.now()).toBeLessThan(0.3);
  });

  it('takes the same course every time, reports, truth and faults alike', async () => {
    const course = async (seed: number): Promise<string> => {
      let line: FaultyPipe | undefined;
      const rig = new Rig((pipe) => {
        line = new FaultyPipe(pipe, { seed, faults: FAULTS, toStand: 0.04, toHost: 0.04 });
        return line;
      });
      const told: string[] = [];
      rig.link.onStatus((status) => told.push(JSON.stringify([status, rig.stand.truth()])));
      await rig.ready();
      line!.on = true;
      rig.walk(randomWalk(8, 300));
      return told.join('\n');
    };
    const first = await course(1);
    expect(first.length).toBeGreaterThan(10_000);
    expect(await course(1)).toBe(first);
    expect(await course(2)).not.toBe(first);
  });
});
