/** What a person is told to do next where a wrong guess would cost a finger, a figure or an evening. */
import { describe, expect, test } from 'vitest';
import { VirtualRun } from '../../firmware-host/run/virtual-run';
import { handClockingWords, nextWords, refusalWords } from '../../firmware-host/run/words';
import { program } from '../support/programs';
import { ask, GO_ON, planOf, quickStand, Remembered, readyRun, START } from './support';

const RESET = { kind: 'command', command: 'reset' } as const;
const AIR = { ...START, air: true } as const;
const STOP = { kind: 'command', command: 'stop' } as const;

describe('a rest with hands in the stand', () => {
  test('says the sense of the turning, and that the drives are on', async () => {
    for (const [byDeg, sense] of [
      [140, 'Turn the lap by 140 deg anticlockwise, seen from above, in its holder.'],
      [-22.5, 'Turn the lap by 22.5 deg clockwise, seen from above, in its holder.'],
    ] as const) {
      const plan = planOf(
        program([{ turns: 2, clocking: { kind: 'byHand', everyTurns: 1, byDeg } }], { turntableRpm: 5 }),
        quickStand,
      );
      const { run, conductor } = await readyRun(plan);
      await ask(run, START, 'Suspended');
      const { next } = conductor.snapshot();
      expect(next.startsWith(sense), next).toBe(true);
      expect(next).toMatch(/The drives are on and hold, the lap is up: nothing moves until .* countdown is over\./);
      expect(next).toMatch(/cautions about drives that are on/);
      expect(next).toMatch(/\.$/);
      // What the words promise.
      expect(run.stand.truth()).toMatchObject({ drivesEnabled: true, liftHeight: 1 });
      const { steps } = run.stand.truth();
      await run.until(() => false, 60);
      expect(run.stand.truth().steps).toEqual(steps);
    }
  });

  test('asks for no hands where nobody hears the stand', () => {
    expect(handClockingWords('Turn the lap by 140 deg in its holder', false)).toMatch(/^Keep your hands out: nobody/);
  });
});

test('a stand that was just switched on is no fault, and one that comes up anew on the way is', async () => {
  const plan = planOf(program([{ turns: 1 }], { turntableRpm: 5 }), quickStand);
  const run = await VirtualRun.begin({ plan, recorder: new Remembered(), newRunId: () => 'run', bootId: 7, linkId: 5 });
  expect(run.conductor.snapshot()).toMatchObject({ switchedOn: true, words: 'Just switched on, must be cleared' });
  expect(run.conductor.snapshot().next).toMatch(
    /^Nothing is wrong: .* First take control, clear, make ready, then hold Start\.$/,
  );
  await ask(run, { kind: 'command', command: 'clear' }, 'Stopped');
  expect(run.conductor.snapshot().switchedOn).toBe(false);
  await ask(run, RESET, 'Idle');
  await ask(run, START, 'Execute');
  run.stand.reboot('power');
  await run.until(() => run.conductor.snapshot().state === 'Aborted', 30);
  expect(run.conductor.snapshot()).toMatchObject({ switchedOn: false });
  expect(run.conductor.snapshot().words).toMatch(/^Stopped by power coming on/);
});

test('a run in the air ends with nothing to measure', async () => {
  const plan = planOf(program([{ turns: 1 }], { turntableRpm: 5 }), quickStand);
  const { run, conductor } = await readyRun(plan);
  await ask(run, AIR, 'Complete');
  expect(conductor.snapshot().next).toMatch(/nothing was taken off the glass.*start with the lap down\.$/);
  await ask(run, RESET, 'Idle');
  await ask(run, START, 'Complete');
  expect(conductor.snapshot().next).toMatch(/^Let the glass come to rest before it is measured/);
});

test('before it goes on it says how much is on the glass already, and nothing of the kind after a run in the air', async () => {
  const plan = planOf(program([{ turns: 2 }], { turntableRpm: 5 }), quickStand);
  const { run, conductor } = await readyRun(plan);
  for (const air of [true, false]) {
    await ask(run, air ? AIR : START, 'Execute');
    await run.until(() => conductor.snapshot().turnsWalked >= 0.5, 60);
    await ask(run, STOP, 'Stopped');
    await ask(run, RESET, 'Idle');
    const onGlass = /0\.5\d turns are on the glass already: starting anew works them a second time\.$/;
    if (air) expect(conductor.snapshot().next).not.toMatch(/on the glass/);
    else expect(conductor.snapshot().next).toMatch(onGlass);
  }
  await ask(run, GO_ON, 'Complete');
});

test('one act has one verb, that of its button', () => {
  expect(nextWords('Stopped')).toMatch(/^Make ready when/);
  expect(nextWords('Complete')).toMatch(/Make ready to start anew/);
  expect(nextWords('Held')).toBe('Resume, or stop.');
  expect(refusalWords('reset', 'Execute', null)).toMatch(/^"Make ready" does nothing now/);
  expect(refusalWords('unhold', 'Idle', null)).toMatch(/^"Resume" does nothing now/);
});
