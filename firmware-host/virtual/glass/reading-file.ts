/** What the virtual tester read, as a measurement file that a person could have written. */
import type { KnifeEdgeMeasurement } from '../../../planner/figure/types';

/** Text of the file; readings to a hundredth of a millimetre, as a dial is read. The glass is named as on the shelf. */
export function readingFile(measurement: KnifeEdgeMeasurement): string {
  const { glass, source, windows, takes, repeatabilityMm, rest } = measurement;
  const number = (value: number): string => String(Number(value.toFixed(2)));
  const hours = rest.hoursSinceWork ?? 0;
  const lines = [
    '# Read from a virtual glass: nothing of it is of real iron or glass.',
    'wholeturn: 1',
    'measurement: knife-edge',
    'title: Virtual glass under the virtual knife',
    'virtual: true',
    `glass: ${glass.id}`,
    `source: ${source}`,
    `windows: ${windows.map(({ fromMm, toMm }) => `${number(fromMm)}..${number(toMm)}`).join(' ')} mm`,
    `repeatability: ${repeatabilityMm} mm # of one reading at 70 % of the radius`,
    'markOnStand: 0 deg',
    ...(Number.isFinite(hours) ? [`rest: { sinceWork: ${number(hours)} h }`] : []),
    'takes: # the glass was turned under the mask, so that the line of windows stayed level',
    ...takes.flatMap(({ diameterDeg, markOnTesterDeg, readingMm }) => [
      `  - diameter: ${number(diameterDeg)} deg`,
      `    markOnTester: ${number(markOnTesterDeg)} deg`,
      `    readings: ${readingMm.map((reading) => reading.toFixed(2)).join(' ')} mm`,
    ]),
  ];
  return `${lines.join('\n')}\n`;
}
