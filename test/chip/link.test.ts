/**
 * The host on the image that is flashed: references, a walk with nudges and clockings, stops; an emulated chip with the stand on its pins.
 * The reference board, and a whole example: test/proof/rehearse-chip.proof.ts.
 */
import { expect, test } from 'vitest';
import type { RunState } from '../../firmware-host/run/types';
import { VirtualRun } from '../../firmware-host/run/virtual-run';
import { ChipStand } from '../../firmware-host/virtual/chip-stand';
import type { StandingStart } from '../../firmware-host/virtual/mechanism';
import type { Stand } from '../../planner/stand/types';
import { compileProgram } from '../../planner/steps/summary';
import { planOf, Remembered } from '../run/support';
import { demoStand, program } from '../support/programs';

/** Short ways and quick turns: an emulated chip takes its time. */
const stand: Stand = {
  ...demoStand,
  axes: {
    turntable: { unit: 'turn', stepsPerUnit: 14_464.5, maxSpeed: 0.5, maxAcceleration: 10 },
    stroke: { unit: 'mm', stepsPerUnit: 40, maxSpeed: 400, maxAcceleration: 3000, min: -11, max: 11 },
    radial: { unit: 'mm', stepsPerUnit: 80, maxSpeed: 120, maxAcceleration: 1500, min: 82, max: 98 },
    lapTurn: { unit: 'turn', stepsPerUnit: 960, maxSpeed: 1.5, maxAcceleration: 32 },
  },
  rampSeconds: 0.1,
  lift: { travelSeconds: 0.1, timeoutSeconds: 1 },
};
const walked = program(
  [
    {
      turns: 1,
      lengthMm: 20,
      strokesPerMinute: 60,
      nudge: { everyStrokes: 2, byMm: 4 },
      clocking: { kind: 'steps', everyStrokes: 1, askedDeg: 50, share: 0.6 },
    },
  ],
  { turntableRpm: 20 },
);

const NEAR = { turntableTurns: 0.995, lapTurns: 0.98, strokeMm: -12, radialMm: 99.5 };

async function begin(start: StandingStart = NEAR) {
  const recorder = new Remembered();
  const chip = new ChipStand({
    stand,
    start,
    board: 'small',
  });
  const options = { plan: planOf(walked, stand), recorder, newRunId: () => 'run', linkId: 77 };
  const run = await VirtualRun.beginOn(options, chip);
  const reach = async (state: RunState, limitSeconds = 60): Promise<void> => {
    const there = await run.until(() => run.conductor.snapshot().state === state, limitSeconds);
    expect(there, JSON.stringify([run.conductor.snapshot(), recorder.events.at(-1)])).toBe(true);
  };
  run.conductor.order({ kind: 'command', command: 'clear' });
  await reach('Stopped');
  run.conductor.order({ kind: 'command', command: 'reset' });
  await reach('Idle');
  run.conductor.order({ kind: 'command', command: 'start', from: 'beginning' });
  return { run, chip, recorder, reach };
}

test('the image of the small board walks a program from references to lap up and ends where the compiler says', async () => {
  const { run, chip, reach } = await begin();
  await reach('Execute');
  const from = chip.truth();
  expect(from.liftHeight).toBe(0);
  await reach('Complete');
  const { summary } = compileProgram(walked, stand);
  const { endSteps, travelSteps } = summary!;
  const result = run.conductor.result();
  expect(result).toMatchObject({ turnsWalked: 1, endSteps, travelSteps, slipSteps: 0, underruns: 0, droopTicks: 0 });
  // What the motors did, whatever anyone believes.
  const to = chip.truth();
  const way = (axis: number): number => to.travel[axis]! - from.travel[axis]!;
  expect([0, 1, 2, 3].map(way)).toEqual(Object.values(travelSteps));
  expect(to.liftHeight).toBe(1);
  expect(chip.bytesLost).toBe(0);
  await run.conductor.close();
});
test('a guard that opens on the small board: it eases on its path, lifts, takes the current off', async () => {
  const { run, chip, reach } = await begin();
  await reach('Execute');
  await run.until(() => run.conductor.snapshot().turnsWalked > 0.2, 10);
  chip.force('guard', true);
  await reach('Aborted');
  expect(run.conductor.snapshot().words).toContain('an open guard');
  expect(chip.truth()).toMatchObject({ liftHeight: 1, drivesEnabled: false });
  await run.conductor.close();
});

test('a slide on its switch: in series nobody can tell which one, so a person is asked and nothing moves', async () => {
  const { run, chip, reach } = await begin({ ...NEAR, strokeMm: -14 });
  await reach('Aborted');
  expect(run.conductor.snapshot().words).toContain('an end switch, and with switches in series nobody can tell which');
  expect(chip.truth().travel).toEqual([0, 0, 0, 0, 0]);
  await run.conductor.close();
});
