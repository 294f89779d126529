import { demoStand } from '../support/programs';
import { Rig } from '../support/rig';
import { randomWalk } from '../support/segments';
import type { Bench } from './harness';

const SEGMENTS = 20_000;

/** Segments made beforehand, so that link, line, controller core and mechanism are timed without the planner. */
export function benches(): Bench[] {
  const segments = randomWalk(17, SEGMENTS);
  return [
    {
      name: 'segments over the real link to the virtual stand',
      unit: 'x real time',
      goal: 400,
      better: 'larger',
      repeats: 5,
      async measure() {
        const rig = new Rig();
        await rig.ready();
        const began = rig.status.clockSeconds;
        const start = performance.now();
        rig.walk(segments, 1000);
        return (rig.status.clockSeconds - began) / ((performance.now() - start) / 1000);
      },
      note: `${SEGMENTS} random segments of ${Math.round((137 / demoStand.tickHz) * 10_000) / 10} ms on average, about 50 frames a second each way`,
    },
  ];
}
