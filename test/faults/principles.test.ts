/**
 * Principles that ISO 13850 (a stop goes before everything and its reset starts nothing) and ISO 14118 (no unexpected start-up) put into
 * words, as cases on the controller's own core. Named after them to know what was looked at; no conformity is claimed.
 */
import { expect, test } from 'vitest';
import type { Order } from '../../firmware-host/run/conductor';
import type { VirtualRun } from '../../firmware-host/run/virtual-run';
import { ask, GO_ON, planOf, quickStand, reach, readyRun, START } from '../run/support';
import { program } from '../support/programs';

const plan = planOf(program([{ turns: 2 }], { turntableRpm: 5 }), quickStand);
const order = (command: 'clear' | 'reset' | 'hold' | 'unhold' | 'unsuspend'): Order => ({ kind: 'command', command });

async function walking(): Promise<VirtualRun> {
  const { run } = await readyRun(plan);
  await ask(run, START, 'Execute');
  await run.until(() => run.conductor.snapshot().turnsWalked > 0.2, 60);
  return run;
}

async function standsStill(run: VirtualRun, seconds = 5): Promise<void> {
  const { steps, travel } = run.stand.truth();
  await run.until(() => false, seconds);
  expect(run.stand.truth()).toMatchObject({ steps, travel });
}

test('ISO 13850: a halt goes before a start: pressed while it is brought to its place, nothing moves on', async () => {
  const { run, conductor } = await readyRun(plan);
  conductor.order(START);
  await run.until(() => false, 5);
  run.stand.force('halt', true);
  await reach(run, 'Aborted');
  await standsStill(run);
  expect(conductor.order(START)).toMatchObject({ ok: false });
});

test('ISO 13850: a halt stays latched: released, cleared and reset it starts nothing', async () => {
  const run = await walking();
  run.stand.force('halt', true);
  await reach(run, 'Aborted');
  run.stand.force('halt', null);
  await standsStill(run);
  await ask(run, order('clear'), 'Stopped');
  await standsStill(run);
  await ask(run, order('reset'), 'Idle');
  await standsStill(run);
});

test('ISO 13850: while the halt input is open it cannot be cleared, and nothing else is taken', async () => {
  const run = await walking();
  run.stand.force('halt', true);
  await reach(run, 'Aborted');
  run.conductor.order(order('clear'));
  await run.until(() => false, 3);
  expect(run.conductor.snapshot().words).toBe('Stopped by the halt input, which is still there, must be cleared');
  for (const early of [order('reset'), order('unhold'), order('unsuspend'), START, GO_ON])
    expect(run.conductor.order(early)).toMatchObject({ ok: false });
  await standsStill(run);
});

test('ISO 14118: power that comes back finds the drives off and the lap up', async () => {
  const run = await walking();
  run.stand.reboot('power');
  await run.until(() => false, 5);
  expect(run.stand.truth()).toMatchObject({ drivesEnabled: false, liftHeight: 1 });
  await standsStill(run, 10);
});

test('ISO 14118: a guard that is closed again starts nothing', async () => {
  const run = await walking();
  run.stand.force('guard', true);
  await reach(run, 'Aborted');
  run.stand.force('guard', null);
  await standsStill(run, 10);
});

test('ISO 14118: a line that is back starts nothing, whatever was queued when it went', async () => {
  const run = await walking();
  run.unplug();
  await run.until(() => false, 4);
  run.plugIn();
  await reach(run, 'Suspended');
  await standsStill(run, 10);
  expect(run.stand.truth().liftHeight).toBe(1);
});

test('ISO 14118: a lap that is held up stays up while a person works under it, whatever the host says meanwhile', async () => {
  const run = await walking();
  await ask(run, order('hold'), 'Held');
  run.stand.force('halt', true);
  await reach(run, 'Aborted');
  run.link.lift('down');
  run.link.pace(1);
  await run.until(() => false, 5);
  expect(run.stand.truth()).toMatchObject({ drivesEnabled: false, liftHeight: 1 });
  await standsStill(run);
});
