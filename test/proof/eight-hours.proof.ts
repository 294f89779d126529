/** The bound that shorter tests show for minutes, for a whole working day: more than a thousand million ticks, each looked at. */
import { expect, it } from 'vitest';
import { planProgram } from '../../planner/path/plan';
import { SegmentChecker } from '../../planner/steps/checker';
import { compileSegments } from '../../planner/steps/compile';
import { demoStand, program } from '../support/programs';

it('keeps every axis within 1.5 steps of the path at every tick of an eight-hour program', {
  timeout: 1_800_000,
}, () => {
  const stints = Array.from({ length: 100 }, (_, i) => [
    { turns: 7, nudge: { everyStrokes: 2 + (i % 5), byMm: 10 - (i % 7) } },
    {
      turns: 5,
      shape: 'ellipse' as const,
      widthMm: 8 + (i % 9),
      settingMm: 80 + (i % 23),
      clocking: { kind: 'steps' as const, everyStrokes: 3, askedDeg: 40, share: 0.3 },
    },
  ]).flat();
  const { path, law } = planProgram(program(stints), demoStand);
  if (law === null) throw new Error('the program does not fit the stand');
  expect(law.durationSeconds).toBeGreaterThan(8 * 3600);
  const checker = new SegmentChecker(path, law, demoStand, { mode: 'every tick' });
  let turntable = 0;
  for (const batch of compileSegments(path, law, demoStand)) {
    for (let offset = 0; offset < batch.length; offset += 8) turntable += batch[offset + 3]!;
    expect(checker.take(batch)).toBe(true);
  }
  expect(checker.finish()).toEqual([]);
  expect(turntable).toBe(Math.round(1200 * 144_640.5));
});
