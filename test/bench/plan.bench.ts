/** Planning: gearing of the longest program, and the calls that the step compiler makes by the million. */
import { gearProgram } from '../../planner/gearing/gearing';
import { planProgram } from '../../planner/path/plan';
import { demoStand, program } from '../support/programs';
import { type Bench, milliseconds } from './harness';

const longStint = program([
  {
    turns: 20_000,
    nudge: { everyStrokes: 5, byMm: 10 },
    clocking: { kind: 'steps', everyStrokes: 3, askedDeg: 40, share: 0.5 },
  },
]);
const manyStints = program(
  Array.from({ length: 10_000 }, (_, index) => ({
    turns: 2,
    group: index % 2,
    settingMm: index % 2 === 0 ? 90 : 80,
    clocking: { kind: 'steps' as const, everyStrokes: 3 + (index % 2), askedDeg: 40, share: 0.5 },
  })),
);

const CALLS = 1_000_000;

/** Nanoseconds a call, the path walked forward as the step compiler does. */
async function perCall(call: (u: number) => void, span: number): Promise<number> {
  const ms = await milliseconds(() => {
    for (let i = 0; i < CALLS; i++) call((span * i) / CALLS);
  });
  return (ms * 1e6) / CALLS;
}

export function benches(): Bench[] {
  const { path, law } = planProgram(manyStints, demoStand);
  const out = new Float64Array(8);
  const shared = { repeats: 7, better: 'smaller' as const };
  return [
    {
      ...shared,
      name: 'gearing one stint of 20,000 turns',
      unit: 'ms',
      goal: 300,
      measure: () => milliseconds(() => gearProgram(longStint)),
    },
    {
      ...shared,
      name: 'plan of 10,000 stints in 20,000 turns',
      unit: 'ms',
      goal: 1000,
      measure: () => milliseconds(() => planProgram(manyStints, demoStand)),
    },
    {
      ...shared,
      name: 'Path.sample',
      unit: 'ns',
      goal: 250,
      measure: () => perCall((u) => path.sample(u, out), 300),
      note: 'one cosine a call; two for an ellipse',
    },
    {
      ...shared,
      name: 'Path.derivatives',
      unit: 'ns',
      goal: 250,
      measure: () => perCall((u) => path.derivatives(u, out), 300),
    },
    {
      ...shared,
      name: 'TimeLaw.turnsAt',
      unit: 'ns',
      goal: 50,
      measure: () => perCall((t) => law!.turnsAt(t), 3600),
    },
  ];
}
