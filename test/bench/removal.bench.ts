/**
 * The forecast's speed. What bounds it in the end: square roots, for the speed under the lap. A mean profile takes five to fourteen
 * of them for each ring under each point of a stroke (50 to 130 points, 120 to 160 rings, a handful of kinds of strokes): about a
 * sixth of its time at 2.5 ns each; arcs, balance and comparing strokes share the rest. A map takes one for each cell under each point.
 */
import { addMap, mapOf, removalOrders } from '../../planner/removal/map';
import { lapPattern } from '../../planner/removal/pattern';
import { predict } from '../../planner/removal/predict';
import { prepareRemoval, profileNm, type Removal } from '../../planner/removal/removal';
import type { Glass, Lap } from '../../planner/shelf/types';
import { hasNumpy, samplesOf, stamp } from '../ci/stamping';
import { planned, plannedExample } from '../removal/examples';
import { FLAT_GLASS, formulaPath, roundLap } from '../removal/support';
import { type Bench, milliseconds } from './harness';

const K = 8e-13;
const HEAD = 'wholeturn: 1\ntitle: x\nglass: glass-300\nturntable: 2.5 rpm\nrate: 44 /min\n';
const STINT =
  'stroke: straight, at: 90 mm, length: 80 mm, nudge: { every: 5, by: 10 mm }, clock: { every: 3, by: 40 deg }';

/** The mean profile of one stint, from its path: nudged and clocked, four kinds of strokes. */
function stintProfile(lap: string): () => Float64Array {
  const { program, path } = planned(`${HEAD}lap: ${lap}\ndo:\n  - { turns: 11, ${STINT} }\n`, 'bench.yaml');
  return () => profileNm(prepareRemoval({ path, lap: program.lap, glass: program.glass, kPerPa: K }));
}

/** The map of two hours of mixed work on a glass of 400 mm, 0.5 mm by 1 degree, with or without the lap's pattern. */
function twoHours(change: (lap: Lap) => Lap): () => number {
  const { program, path } = plannedExample('long-mixed');
  const glass: Glass = { ...FLAT_GLASS, bevelMm: 1 };
  const lap = change(program.lap);
  return () => {
    const removal = prepareRemoval({ path, lap, glass, kPerPa: K });
    const map = mapOf(removalOrders(removal, 360, 180));
    const pattern = lapPattern(removal, 360);
    if (pattern) addMap(map, pattern);
    return map.depthNm.length;
  };
}

const round = (lap: Lap): Lap => ({ ...lap, outline: { shape: 'round', diameterMm: 60 }, facets: null });

/** Repeats in a row, so that compiled code is measured and not its compilation. */
async function each(times: number, work: () => unknown): Promise<number> {
  for (let i = 0; i < times; i++) work();
  return (
    (await milliseconds(() => {
      for (let i = 0; i < times; i++) work();
    })) / times
  );
}

export function benches(): Bench[] {
  const star = stintProfile('star-80');
  const faceted = stintProfile('round-60');
  const roundMap = twoHours(round);
  const starMap = twoHours((lap) => lap);
  const short = plannedExample('raised-ring');
  return [
    ms('mean profile of a stint, star of 80 mm', 5, () => each(20, star)),
    ms('mean profile of a stint, round lap of 60 mm', 5, () => each(20, faceted)),
    ms('map of a 2-hour program, round lap', 1000, () => milliseconds(roundMap)),
    ms('map of a 2-hour program, star with its pattern', 1000, () => milliseconds(starMap)),
    ms('whole forecast of a 13-minute program, star', 500, () =>
      milliseconds(() => predict(short.program, short, { kPerPa: K })),
    ),
    ...timesStamping(),
  ];
}

/** Against stamping the same samples with numpy, where this computer has it: 2,000 of them tell its pace. */
function timesStamping(): Bench[] {
  if (!hasNumpy()) return [];
  const path = formulaPath({ turns: 300, strokes: 5399, settingMm: 120, lengthMm: 60, widthMm: 14 });
  const forecast = (): Removal => {
    const removal = prepareRemoval({ path, lap: roundLap(30), glass: FLAT_GLASS, kPerPa: K });
    mapOf(removalOrders(removal, 360, 180));
    return removal;
  };
  const samples = samplesOf(forecast());
  const some = samples.filter((_, i) => i % Math.floor(samples.length / 2000) === 0);
  return [
    {
      name: 'map of two hours, against stamping it with numpy',
      unit: 'times as fast',
      goal: 20,
      better: 'larger',
      repeats: 3,
      note: 'stamping goes sample by sample, so 2,000 of its samples are timed',
      async measure() {
        const { seconds } = stamp(some, 30, 200, 0.5, 360);
        return (seconds * 1000 * samples.length) / some.length / (await milliseconds(forecast));
      },
    },
  ];
}

function ms(name: string, goal: number, measure: () => Promise<number>): Bench {
  return { name, unit: 'ms', goal, better: 'smaller', repeats: 5, measure };
}
