/** How long a reduction takes: readings of twelve windows, a dense profile. */
import { askedConic } from '../../planner/figure/conic';
import { reduce } from '../../planner/figure/reduce';
import type { Measurement } from '../../planner/figure/types';
import { equalWindows, profileOf, readingsOf, rings, testGlass } from '../figure/synthetic';
import { seeded } from '../support/random';
import { type Bench, milliseconds } from './harness';

const TIMES = 40;

export function benches(): Bench[] {
  const glass = testGlass();
  const error = rings([{ radiusMm: 60, widthMm: 45, heightNm: 70 }]);
  const options = { noiseMm: 0.02, random: seeded(1) };
  const readings = readingsOf(glass, askedConic(glass), error, equalWindows(12, 0, 100), options);
  const points = Array.from({ length: 1001 }, (_, i) => ({
    radiusMm: i / 10,
    heightNm: error.heightNm(i / 10),
    sigmaNm: 1,
  }));
  const profile: Measurement = profileOf(glass, points);
  return [
    bench(
      'reduce knife-edge readings, 12 windows',
      readings,
      'what hides between the windows is summed over 40 hypotheses',
    ),
    bench('reduce a profile of 1,001 points', profile, 'two splines and a reference'),
  ];
}

function bench(name: string, measurement: Measurement, note: string): Bench {
  return {
    name,
    unit: 'ms',
    goal: 10,
    better: 'smaller',
    repeats: 7,
    note,
    async measure() {
      const whole = await milliseconds(() => {
        for (let i = 0; i < TIMES; i++) reduce(measurement);
      });
      return whole / TIMES;
    },
  };
}
