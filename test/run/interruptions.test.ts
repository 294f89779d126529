/**
 * Whatever a person does to the walk while it goes on, the path stays the same: pausing, going on and changing the pace at any
 * moment end at the same step, after the same travel, without the queue ever running out.
 */
import { describe, expect, test } from 'vitest';
import type { Stint } from '../../planner/program/types';
import { compileProgram } from '../../planner/steps/summary';
import { program } from '../support/programs';
import { seeded } from '../support/random';
import { ask, planOf, quickStand, readyRun, START } from './support';

const CASES = 200;
const STANDS = 8;

const quick: Partial<Stint> = { turns: 1, strokesPerMinute: 44, lengthMm: 70 };
const PATTERNS: Partial<Stint>[][] = [
  [quick],
  [{ ...quick, shape: 'ellipse', widthMm: 14 }],
  [{ ...quick, nudge: { everyStrokes: 3, byMm: 6 } }],
  [quick, { ...quick, settingMm: 88, lengthMm: 60 }],
  [{ ...quick, clocking: { kind: 'steps', everyStrokes: 2, askedDeg: 40, share: 0.6 } }],
];

describe.each(Array.from({ length: STANDS }, (_, i) => i))('stand %i, each case started anew', (number) => {
  const walked = program(PATTERNS[number % PATTERNS.length]!, { turntableRpm: 5 });
  const { summary } = compileProgram(walked, quickStand);

  test(`${CASES / STANDS} walks with pauses and changes of pace at random moments`, async () => {
    expect(summary).not.toBeNull();
    const random = seeded(20_261_125 + number);
    const { run, conductor } = await readyRun(planOf(walked, quickStand));
    let interrupted = 0;
    for (let n = 0; n < CASES / STANDS; n++) {
      await ask(run, START, 'Execute');
      const parked = run.stand.truth();
      for (let acts = 1 + Math.floor(random() * 4); acts > 0; acts--) {
        const due = run.seconds + random() * 8;
        await run.until(() => run.seconds >= due || conductor.snapshot().state !== 'Execute', 60);
        if (conductor.snapshot().state !== 'Execute') break;
        if (random() < 0.4) conductor.setPace(0.3 + 0.7 * random());
        else {
          await ask(run, { kind: 'command', command: 'hold' }, 'Held');
          interrupted++;
          if (random() < 0.3) conductor.setPace(0.3 + 0.7 * random());
          conductor.order({ kind: 'command', command: 'unhold' });
          // Paused a moment before the end it is done at once.
          await run.until(() => !/^(Held|Unholding)$/.test(conductor.snapshot().state), 20);
        }
      }
      conductor.setPace(1);
      const finished = await run.until(() => conductor.snapshot().state === 'Complete', 120);
      expect(finished, conductor.snapshot().words).toBe(true);
      const { endSteps, travelSteps, underruns, turnsWalked } = conductor.result();
      expect({ endSteps, travelSteps, underruns, turnsWalked }, `case ${n}`).toEqual({
        endSteps: summary!.endSteps,
        travelSteps: summary!.travelSteps,
        underruns: 0,
        turnsWalked: summary!.turns,
      });
      // The motors themselves, not only what the host believes.
      const after = run.stand.truth();
      expect(after.steps.slice(0, 4).map((steps, axis) => steps - parked.steps[axis]!)).toEqual(
        Object.values(summary!.endSteps),
      );
      await ask(run, { kind: 'command', command: 'reset' }, 'Idle');
    }
    expect(interrupted).toBeGreaterThan(CASES / STANDS / 4);
  });
});
