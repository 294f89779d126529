import { planRun } from '../../firmware-host/run/plan';
import { VirtualRun } from '../../firmware-host/run/virtual-run';
import { plainTruth } from '../../firmware-host/virtual/glass/truth';
import { VirtualGlass } from '../../firmware-host/virtual/glass/virtual-glass';
import { demoStand, program } from '../support/programs';
import type { Bench } from './harness';

const QUIET = { begin() {}, checkpoint() {}, event() {}, end() {} };
const WALKED = program([
  { turns: 10, nudge: { everyStrokes: 3, byMm: 8 } },
  {
    turns: 10,
    shape: 'ellipse',
    widthMm: 12,
    clocking: { kind: 'steps', everyStrokes: 2, askedDeg: 40, share: 0.5 },
  },
]);

/** Eight minutes of work from start to lap up, through conductor, link, controller core and mechanism. */
async function timesRealTime(onGlass: boolean): Promise<number> {
  const plan = planRun(WALKED, demoStand);
  if (Array.isArray(plan)) throw new Error('the program does not fit the stand');
  const run = await VirtualRun.begin({ plan, recorder: QUIET, newRunId: () => 'bench', bootId: 7, linkId: 9 });
  if (onGlass) run.lay(new VirtualGlass(WALKED.glass, plainTruth(8e-13), () => 0));
  const { conductor } = run;
  for (const command of ['clear', 'reset'] as const) {
    conductor.order({ kind: 'command', command });
    await run.until(() => !/ing$/.test(conductor.snapshot().state), 5);
  }
  conductor.order({ kind: 'command', command: 'start', from: 'beginning' });
  await run.until(() => conductor.snapshot().state === 'Execute', 120);
  const began = run.seconds;
  const start = performance.now();
  if (!(await run.until(() => conductor.snapshot().state === 'Complete', 600))) throw new Error('it did not end');
  return (run.seconds - began) / ((performance.now() - start) / 1000);
}

export function benches(): Bench[] {
  return [
    {
      name: 'rehearse a program on the virtual stand',
      unit: 'x real time',
      goal: 300,
      better: 'larger',
      repeats: 5,
      measure: () => timesRealTime(false),
      note: 'bounded by the controller core (about a third) and by reports and segments through the real link',
    },
    {
      name: 'rehearse it with a virtual glass under the lap',
      unit: 'x real time',
      goal: 300,
      better: 'larger',
      repeats: 5,
      measure: () => timesRealTime(true),
      note: 'the lap is looked at a hundred times a second of the stand; strokes that lie on the path are worn whole',
    },
  ];
}
