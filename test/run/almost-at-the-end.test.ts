/** So close to the end that no step is left: the walk is at its end, and there is no place to go on from. */
import { expect, test } from 'vitest';
import { program } from '../support/programs';
import { GO_ON, planOf, quickStand, readyRun } from './support';

const plan = planOf(program([{ turns: 2 }], { turntableRpm: 5 }), quickStand);

test('a run left a ten-thousand-millionth of a turn before its end is at its end', async () => {
  const { conductor } = await readyRun(plan, { interrupted: { runId: 'left', turnsWalked: 2 - 1e-10 } });
  expect(conductor.snapshot().turnsWalked).toBe(2);
  expect(conductor.order(GO_ON)).toEqual({ ok: false, words: 'There is no place to go on from. Start anew.' });
});

test('a run left a thousandth of a turn before its end goes on from there', async () => {
  const { conductor } = await readyRun(plan, { interrupted: { runId: 'left', turnsWalked: 1.999 } });
  expect(conductor.snapshot().turnsWalked).toBe(1.999);
  expect(conductor.order(GO_ON)).toEqual({ ok: true });
});
