/** A whole run over a pretended port, conducted as on iron: to the step, through a pulled cable, and with a motor wired the other way. */
import { describe, expect, it } from 'vitest';
import type { Conductor, Order } from '../../firmware-host/run/conductor';
import { connectSerial } from '../../firmware-host/run/serial-run';
import type { RunState } from '../../firmware-host/run/types';
import type { Stand } from '../../planner/stand/types';
import { compileProgram } from '../../planner/steps/summary';
import { planOf, quickStand, Remembered } from '../run/support';
import { program } from '../support/programs';
import { PATH, SerialBench } from './bench';

const walked = program([{ turns: 1 }], { turntableRpm: 5 });
const { endSteps, travelSteps } = compileProgram(walked, quickStand).summary!;

async function begin(stand: Stand = quickStand) {
  const bench = new SerialBench();
  const truth = bench.connectStand();
  const recorder = new Remembered();
  const { clock } = bench.simulation;
  const options = { plan: planOf(walked, stand), clock, recorder, newRunId: () => 'run', path: PATH, linkId: 5 };
  const { conductor } = await bench.settle(connectSerial({ ...options, ports: bench.ports }));
  const go = async (order: Order, state: RunState): Promise<void> => {
    expect(conductor.order(order)).toEqual({ ok: true });
    await reach(bench, conductor, state);
  };
  await go({ kind: 'command', command: 'clear' }, 'Stopped');
  await go({ kind: 'command', command: 'reset' }, 'Idle');
  return { bench, truth, recorder, conductor, go };
}

const START: Order = { kind: 'command', command: 'start', from: 'beginning' };

async function reach(bench: SerialBench, conductor: Conductor, state: RunState): Promise<void> {
  const there = await bench.until(() => conductor.snapshot().state === state, 300);
  expect(there, `${state}: ${JSON.stringify(conductor.snapshot())}`).toBe(true);
}

describe('a run over a serial port', () => {
  it('ends where the compiler says', async () => {
    const { bench, conductor, go } = await begin();
    await go(START, 'Complete');
    expect(conductor.result()).toMatchObject({ turnsWalked: 1, endSteps, travelSteps, underruns: 0, droopTicks: 0 });
    await bench.settle(conductor.close());
    expect(bench.opened.at(-1)!.isOpen).toBe(false);
  });

  it('goes on from the same place after the cable was out', async () => {
    const { bench, truth, recorder, conductor, go } = await begin();
    await go(START, 'Execute');
    await bench.until(() => conductor.snapshot().turnsWalked > 0.4, 60);
    bench.unplug();
    await bench.advance(3);
    // By itself, with nobody on the line.
    expect(truth.truth().liftHeight).toBe(1);
    expect(conductor.snapshot().words).toContain('the line to the stand');
    expect(recorder.events.map(({ words }) => words).join('\n')).toContain(`${PATH} is gone`);
    bench.plugIn();
    await reach(bench, conductor, 'Suspended');
    await go({ kind: 'command', command: 'unsuspend' }, 'Complete');
    expect(conductor.result()).toMatchObject({ turnsWalked: 1, endSteps, travelSteps });
    await bench.settle(conductor.close());
  });

  it('turns a motor that is wired the other way as if it were not', async () => {
    const { lapTurn, ...others } = quickStand.axes;
    const other = await begin({ ...quickStand, axes: { ...others, lapTurn: { ...lapTurn, reversed: true } } });
    const { bench, truth, conductor } = other;
    const before = truth.truth().steps[3]!;
    expect(conductor.order(START)).toEqual({ ok: true });
    // The lap's reference is sought in the positive sense: on this stand that is backwards.
    const turned = await bench.until(() => Math.abs(truth.truth().steps[3]! - before) > 100, 120);
    expect(turned).toBe(true);
    expect(truth.truth().steps[3]!).toBeLessThan(before);
    await bench.settle(conductor.close());
  });
});
