/** A computer that slept, and a line that damages too much: both are noticed by the host, and said. */
import { describe, expect, test } from 'vitest';
import { LineWatch } from '../../firmware-host/run/line-watch';
import { SleepWatch } from '../../firmware-host/run/sleep-watch';
import { compileProgram } from '../../planner/steps/summary';
import { program } from '../support/programs';
import { ask, planOf, quickStand, reach, readyRun, START } from './support';

const walked = program([{ turns: 1 }], { turntableRpm: 5 });
const plan = planOf(walked, quickStand);
const { summary } = compileProgram(walked, quickStand);

describe('a computer that sleeps', () => {
  const asleep = async (wallSeconds: number) => {
    let wallMs = 0;
    const begun = await readyRun(plan, { wallMs: () => wallMs });
    const { run, conductor } = begun;
    await ask(run, START, 'Execute');
    await run.until(() => conductor.snapshot().turnsWalked > 0.3, 30);
    // The host's clock stands still, as it does on Linux; what the stand said meanwhile is read when it wakes.
    wallMs += wallSeconds * 1000;
    for (let seconds = 0; seconds < 40; seconds += 0.005) run.stand.advance(0.005);
    await reach(run, 'Suspended', 5);
    return begun;
  };

  test('is told from one that was only silent, and the walk waits for a person', async () => {
    const { run, conductor } = await asleep(40);
    expect(conductor.snapshot().words).toBe('Waiting for a person: the computer slept for 40 s');
    expect(conductor.snapshot().next).toMatch(/eased and lifted the lap by itself.*Going on starts at the same place/);
    expect(run.stand.truth().liftHeight).toBe(1);
    await run.until(() => false, 20);
    expect(conductor.snapshot().state).toBe('Suspended');
    await ask(run, { kind: 'command', command: 'unsuspend' }, 'Complete');
    expect(conductor.result()).toMatchObject({ endSteps: summary!.endSteps, travelSteps: summary!.travelSteps });
  });

  test('without a jump of the wall clock it is said to have been silent', async () => {
    const { conductor } = await asleep(0);
    expect(conductor.snapshot().words).toMatch(/this computer was silent|came to rest without being asked/);
  });

  test('a wall clock that somebody sets stops nothing', async () => {
    let wallMs = 0;
    const { run, conductor } = await readyRun(plan, { wallMs: () => wallMs });
    await ask(run, START, 'Execute');
    await run.until(() => conductor.snapshot().turnsWalked > 0.3, 30);
    wallMs += 3_600_000;
    await run.until(() => conductor.snapshot().turnsWalked > 0.5, 30);
    wallMs -= 7_200_000;
    await reach(run, 'Complete');
  });

  test('where the host’s own clock goes on, a long gap is a sleep and a short one may be a busy program', () => {
    let seconds = 0;
    const watch = new SleepWatch(
      () => seconds,
      () => seconds * 1000,
    );
    watch.look();
    expect(watch.silence).toBeNull();
    seconds += 3;
    watch.look();
    expect(watch.silence).toMatchObject({ seconds: 3, slept: false });
    seconds += 600;
    watch.look();
    expect(watch.silence).toMatchObject({ seconds: 600, slept: true });
    for (let i = 0; i < 6; i++) {
      seconds += 1;
      watch.look();
    }
    expect(watch.silence).toBeNull();
  });
});

describe('the line', () => {
  test('more than 20 damaged frames in a second at this end are too many', () => {
    const watch = new LineWatch();
    const tally = (damaged: number) => ({ damaged, sentAgain: 0 });
    for (let n = 0; n <= 20; n++) expect(watch.take(tally(n), n * 0.05)).toBe(false);
    expect(watch.take(tally(30), 1.02)).toBe(true);
    const slow = new LineWatch();
    for (let n = 0; n < 100; n++) expect(slow.take(tally(n), n * 0.06)).toBe(false);
  });

  test('a walk whose reports come damaged stops, and says why', async () => {
    const { run, conductor } = await readyRun(plan);
    await ask(run, START, 'Execute');
    const { line } = conductor.snapshot();
    expect(line).toEqual({ damaged: 0, sentAgain: 0 });
    const link = run.link as { tally(): { damaged: number; sentAgain: number } };
    const before = link.tally();
    const since = run.seconds;
    link.tally = () => ({ ...before, damaged: before.damaged + Math.floor((run.seconds - since) * 30) });
    await reach(run, 'Aborted', 5);
    expect(conductor.snapshot().words).toBe('Stopped by too many errors on the line, must be cleared');
    expect(conductor.snapshot().next).toMatch(/cable/);
    expect(conductor.result().damagedFrames).toBeGreaterThan(20);
  });
});
