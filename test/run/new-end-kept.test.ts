/** "Stop at the end of the turn" changes what is sent from then on: a later host must find that in the logbook. */
import { expect, test } from 'vitest';
import { program } from '../support/programs';
import { ask, planOf, quickStand, readyRun, START } from './support';

test('the new end is kept at the moment it is given', async () => {
  const { run, recorder, conductor } = await readyRun(planOf(program([{ turns: 2 }], { turntableRpm: 5 }), quickStand));
  await ask(run, START, 'Execute');
  await run.until(() => conductor.snapshot().turnsWalked >= 0.3, 60);
  const before = recorder.checkpoints.length;
  expect(conductor.order({ kind: 'command', command: 'stopAtTurnEnd' })).toEqual({ ok: true });
  expect(recorder.checkpoints.slice(before)).toHaveLength(1);
  expect(recorder.checkpoints.at(-1)?.mark?.ends.map(({ toTurns }) => toTurns)).toEqual([2, 1]);
});
