/** What the desk passes on of run control, and in whose time. */
import { expect, it } from 'vitest';
import { planRun, type RunPlan } from '../../firmware-host/run/plan';
import { openRunDesk } from '../../firmware-host/server/run-desk';
import { compileProgram } from '../../planner/steps/summary';
import { demoStand, program } from '../support/programs';
import { BARE_DESK, FakeHost } from './fake-host';

const walked = program([{ turns: 6 }]);
const plan = planRun(walked, demoStand) as RunPlan;

async function deskOver(host: FakeHost) {
  return openRunDesk({
    ...BARE_DESK,
    first: {
      plan,
      shelf: { glasses: {}, laps: {}, slurries: {} },
      summary: compileProgram(walked, demoStand).summary!,
      begin: () => Promise.resolve(host),
    },
    speedFactor: 20,
  });
}

it('work left is in the stand’s time, like the whole of it; a countdown is in that of who stands there', async () => {
  const host = new FakeHost('Execute');
  const standing = host.snapshot();
  host.snapshot = () => ({ ...standing, runId: 'run-1', secondsLeft: 100, turnsPerSecond: 0.05, startsInSeconds: 5 });
  const desk = await deskOver(host);
  expect(desk.tick()).toMatchObject({ secondsLeft: 100, turnsPerSecond: 1, startsInSeconds: 0.25 });
});

it('tells the turn at which it will stop, and whether the stand was just switched on', async () => {
  const host = new FakeHost('Execute');
  const standing = host.snapshot();
  const desk = await deskOver(host);
  expect(desk.view()).toMatchObject({ restsAtTurns: null, switchedOn: false });
  host.snapshot = () => ({ ...standing, restsAtTurns: 6, switchedOn: true });
  expect(desk.view()).toMatchObject({ restsAtTurns: 6, switchedOn: true });
  expect(desk.view().offered.stopAtTurnEnd).toBe(false);
});
