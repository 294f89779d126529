/**
 * One whole job whose programs go all the way: written by the suggestion, read, compiled to segments, checked, sent over the link, walked
 * by the controller's core, and worn off the glass by the steps that were made. It ends where wearing the planned path ends.
 */
import { expect, test } from 'vitest';
import { planRun } from '../../firmware-host/run/plan';
import { ask, readyRun, START } from '../run/support';
import { seeded } from '../support/random';
import { play, type Workshop } from './job';
import { openWorkshop } from './run';

/** Three cycles with three laps, 103 minutes of the stand's time. */
const SEED = 3;

test('a mirror figured through the virtual stand ends as one that was worn by the plan', async () => {
  const walked: number[] = [];
  const direct = await openWorkshop(false);
  const throughTheStand: Workshop['run'] = async (virtual, program) => {
    const plan = planRun(program, direct.stand);
    if (Array.isArray(plan)) throw new Error(plan[0]!.message);
    const { run, conductor } = await readyRun(plan);
    run.lay(virtual);
    await ask(run, START, 'Complete', 20_000);
    walked.push(conductor.result().turnsWalked);
    await conductor.close();
  };
  const wanted = await play(SEED, seeded(SEED), direct);
  const made = await play(SEED, seeded(SEED), await openWorkshop(false, throughTheStand));
  expect(walked).toEqual(wanted.cycles.map((cycle) => cycle.turns));
  expect(made.cycles.map(({ lap, turns, stints }) => ({ lap, turns, stints }))).toEqual(
    wanted.cycles.map(({ lap, turns, stints }) => ({ lap, turns, stints })),
  );
  // Every cycle begins with what the one before left: had one been worn otherwise, the next would have been another.
  for (const [i, { truePvNm, kRatio, overcutNm }] of made.cycles.entries()) {
    expect(Math.abs(truePvNm - wanted.cycles[i]!.truePvNm)).toBeLessThan(0.1);
    expect(kRatio).toBeCloseTo(wanted.cycles[i]!.kRatio, 3);
    expect(Math.abs(overcutNm - wanted.cycles[i]!.overcutNm)).toBeLessThan(0.1);
  }
  expect(Math.abs(made.endPvNm - wanted.endPvNm)).toBeLessThan(0.1);
  expect(made.endPvNm).toBeLessThanOrEqual(550 / 8);
});
