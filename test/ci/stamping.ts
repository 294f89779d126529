/** Runs the reference scripts beside this file, with Debian's python3-scipy. */
import { spawnSync } from 'node:child_process';
import { join } from 'node:path';
import type { Removal } from '../../planner/removal/removal';

const PYTHON = '/usr/bin/python3';

export function hasNumpy(): boolean {
  return spawnSync(PYTHON, ['-c', 'import numpy']).status === 0;
}

/** One JSON value for each line that the script prints. */
export function python<T>(script: string, input: string): T[] {
  const ran = spawnSync(PYTHON, [join(__dirname, script)], { input, encoding: 'utf8', maxBuffer: 1 << 28 });
  if (ran.status !== 0) throw new Error(`${script}: ${ran.stderr}`);
  return ran.stdout
    .trim()
    .split('\n')
    .map((line) => JSON.parse(line) as T);
}

/** All samples of a forecast, as the stamping script takes them. */
export function samplesOf(removal: Removal): number[][] {
  return removal.strokes.flatMap((stroke) =>
    removal.points[stroke.kind]!.map(({ azimuth, centreMm, motion, turns }) => {
      // The points lie in the glass's frame at the stroke's begin: turned back by where the turntable stood.
      const [cos, sin] = [Math.cos(azimuth), Math.sin(azimuth)];
      return [
        2 * Math.PI * stroke.turntableTurns,
        centreMm * cos,
        centreMm * sin,
        motion.out * cos - motion.along * sin,
        motion.out * sin + motion.along * cos,
        motion.spin,
        turns,
      ];
    }),
  );
}

export interface Stamped {
  seconds: number;
  profile: number[];
  order2: number[];
}

/** Radius of the lap and of the glass's rim, step of the rings, mm. */
export function stamp(samples: number[][], radius: number, rim: number, step: number, azimuths: number): Stamped {
  return python<Stamped>('removal_stamping.py', JSON.stringify({ samples, radius, rim, step, azimuths }))[0]!;
}
