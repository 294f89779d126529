/**
 * Each row of the stop table on the controller's own core: what stops the walk, what a person reads, where the lap and the drives are
 * then, how long the last step took, and that nothing moves again until somebody clears, resets and starts.
 */
import { afterAll, describe, expect, test } from 'vitest';
import type { VirtualRun } from '../../firmware-host/run/virtual-run';
import { program } from '../support/programs';
import { ask, GO_ON, planOf, quickStand, readyRun, START } from './support';

const plan = planOf(program([{ turns: 2 }], { turntableRpm: 5 }), quickStand);
const TICK = 1 / quickStand.tickHz;
const RAMP = quickStand.rampSeconds;
const SILENT = quickStand.hostSilentMs / 1000;
/** A report of the controller and the host's answer to it. */
const ANSWER = 0.1;

const measured: string[] = [];
afterAll(() => {
  if (process.env.WHOLETURN_MEASURED) console.log(measured.join('\n'));
});

interface Row {
  name: string;
  /** Makes it happen. */
  happen(run: VirtualRun): void;
  /** Puts it right, so that it can be cleared. */
  mend(run: VirtualRun): void;
  words: string;
  state: 'Aborted' | 'Suspended';
  drives: boolean;
  liftHeight: 0 | 1;
  /** The last step at the latest, seconds after it happened. */
  within: number;
}

const command = (name: 'hold' | 'clear' | 'reset' | 'unsuspend') => ({ kind: 'command', command: name }) as const;
const nothing = (): void => {};
const force = (input: 'halt' | 'guard' | 'driveFault' | 'strokeHigh', level: boolean | null) => (run: VirtualRun) =>
  run.stand.force(input, level);

const ROWS: readonly Row[] = [
  {
    name: 'halt input',
    happen: force('halt', true),
    mend: force('halt', null),
    words: 'Stopped by the halt input, must be cleared',
    state: 'Aborted',
    drives: false,
    liftHeight: 1,
    within: 2 * TICK,
  },
  {
    name: 'drive fault',
    happen: force('driveFault', true),
    mend: force('driveFault', null),
    words: 'Stopped by a drive that reports a fault, must be cleared',
    state: 'Aborted',
    drives: false,
    liftHeight: 1,
    within: 2 * TICK,
  },
  {
    name: 'limit',
    happen: force('strokeHigh', true),
    mend: force('strokeHigh', null),
    words: 'Stopped by a slide at the end of its travel, must be cleared',
    state: 'Aborted',
    drives: false,
    liftHeight: 1,
    within: 3 * TICK,
  },
  {
    name: 'guard opens',
    happen: force('guard', true),
    mend: force('guard', null),
    words: 'Stopped by an open guard, must be cleared',
    state: 'Aborted',
    drives: false,
    liftHeight: 1,
    within: RAMP + 0.02,
  },
  {
    name: 'controller restarts (watchdog)',
    happen: (run) => run.stand.reboot('watchdog'),
    mend: nothing,
    words: 'Stopped by the watchdog of the controller, must be cleared',
    state: 'Aborted',
    drives: false,
    liftHeight: 1,
    within: TICK,
  },
  {
    name: 'supply dips (brown-out)',
    happen: (run) => run.stand.reboot('brown-out'),
    mend: nothing,
    words: 'Stopped by a dip of the supply voltage, must be cleared',
    state: 'Aborted',
    drives: false,
    liftHeight: 1,
    within: TICK,
  },
  {
    name: '0xFF from the line',
    happen: (run) => run.stand.pipe.write(Uint8Array.of(0xff)),
    mend: nothing,
    words: 'Stopped by a system reset from the line, must be cleared',
    state: 'Aborted',
    drives: true,
    liftHeight: 1,
    within: RAMP + 0.02,
  },
  {
    name: 'lift sticks on its way up',
    happen(run) {
      run.stand.stickLift(true);
      run.conductor.order(command('hold'));
    },
    mend: (run) => run.stand.stickLift(false),
    words: 'Stopped by a lift that did not arrive in time, must be cleared',
    state: 'Aborted',
    drives: true,
    liftHeight: 0,
    within: RAMP + ANSWER,
  },
  {
    name: 'cable out, and in again after 4 s',
    happen(run) {
      run.unplug();
      run.simulation.clock.after(4, () => run.plugIn());
    },
    mend: nothing,
    words: 'Waiting for the line to the stand',
    state: 'Suspended',
    drives: true,
    liftHeight: 1,
    within: SILENT + RAMP + 0.02,
  },
  {
    name: 'index missing',
    happen: (run) => run.stand.force('index', false),
    mend: (run) => run.stand.force('index', null),
    words: 'Waiting for a person: the index did not come within 0.50 degrees of turn 1',
    state: 'Suspended',
    drives: true,
    liftHeight: 1,
    within: Number.POSITIVE_INFINITY,
  },
  {
    name: 'pause',
    happen: (run) => void run.conductor.order(command('hold')),
    mend: nothing,
    words: 'Paused',
    state: 'Suspended',
    drives: true,
    liftHeight: 1,
    within: RAMP + 0.03,
  },
];

/** Seconds of the stand's time from now to the last step; the run goes on until nothing moved for two seconds. */
async function secondsToRest(run: VirtualRun): Promise<number> {
  const began = run.stand.truth().seconds;
  let last = began;
  const off = run.stand.onMotion(({ from, to }) => {
    if (from.steps.some((steps, axis) => steps !== to.steps[axis])) last = to.seconds;
  });
  await run.until(() => run.stand.truth().seconds - last > 8, 60);
  off();
  return last - began;
}

/** Nothing moves for so long, whatever is told in between. */
async function nothingMoves(run: VirtualRun, seconds: number): Promise<void> {
  const { steps, travel } = run.stand.truth();
  await run.until(() => false, seconds);
  expect(run.stand.truth()).toMatchObject({ steps, travel });
}

describe.each(ROWS)('$name', (row) => {
  test('stops, says why, and moves again only after clear, reset and start', async () => {
    const { run, conductor } = await readyRun(plan);
    await ask(run, START, 'Execute');
    await run.until(() => conductor.snapshot().turnsWalked >= 0.4, 60);
    const held = row.words === 'Paused';
    row.happen(run);
    const seconds = await secondsToRest(run);
    // A slice of the simulation is 5 ms: the stand's time is known no better here; test/chip looks at every tick.
    expect(seconds).toBeLessThanOrEqual(row.within + 0.005);
    measured.push(`${row.name}: ${(seconds * 1000).toFixed(1)} ms`);
    const state = held ? 'Held' : row.state;
    await run.until(() => conductor.snapshot().state === state, 30);
    expect(conductor.snapshot()).toMatchObject({ state, words: row.words });
    expect(conductor.snapshot().next.length).toBeGreaterThan(5);
    expect(run.stand.truth()).toMatchObject({ drivesEnabled: row.drives, liftHeight: row.liftHeight });

    // What put it right is no start.
    row.mend(run);
    await nothingMoves(run, 3);
    if (state === 'Aborted') {
      for (const early of [command('reset'), GO_ON, START, command('unsuspend')])
        expect(conductor.order(early)).toMatchObject({ ok: false });
      await ask(run, command('clear'), 'Stopped');
      await nothingMoves(run, 2);
      expect(conductor.order(GO_ON)).toMatchObject({ ok: false });
      await ask(run, command('reset'), 'Idle');
      await nothingMoves(run, 2);
      await ask(run, GO_ON, 'Complete');
    } else await ask(run, held ? { kind: 'command', command: 'unhold' } : command('unsuspend'), 'Complete');
    expect(conductor.result().turnsWalked).toBe(2);
  });
});

test('a stand that was just switched on moves nothing until it is cleared, reset and started', async () => {
  const { run, conductor } = await readyRun(plan);
  await nothingMoves(run, 5);
  expect(conductor.snapshot()).toMatchObject({ state: 'Idle', turnsWalked: 0 });
});
