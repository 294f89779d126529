/**
 * The forecasts of the example programs as pages of the docs. Written anew by
 * `node -r ts-node/register/transpile-only test/removal/example-forecasts.ts`; a test keeps them up to date.
 */
import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { predict } from '../../planner/removal/predict';
import { profilePlot } from '../../planner/removal/report';
import type { Prediction, RimReport } from '../../planner/removal/types';
import { EXAMPLES } from '../program/reading';
import { exampleNames, plannedExample } from './examples';

export const FOLDER = join(EXAMPLES, 'forecasts');

/** As the command line does before a measured run. */
const K_PER_PA = 8.06e-13;

/** Name of each file in the folder and its text. */
export function forecastFiles(): Map<string, string> {
  const files = new Map<string, string>();
  const rows: string[] = [];
  for (const name of exampleNames()) {
    const { program, path } = plannedExample(name);
    const prediction = predict(program, { path }, { kPerPa: K_PER_PA });
    files.set(`${name}.svg`, `${profilePlot(prediction)}\n`);
    rows.push(row(name, prediction));
  }
  files.set('README.md', page(rows));
  return files;
}

function row(name: string, prediction: Prediction): string {
  const { peakNm, radiusMm, removalNm, stints, lapPatternNm, rippleNm, warnings } = prediction;
  const longest = stints.reduce((most, stint) => (stint.turns > most.turns ? stint : most));
  const rim = ({ depthNm, width1090Mm }: RimReport): string =>
    `${depthNm.toFixed(2)}, ${width1090Mm === null ? 'cut off' : width1090Mm.toFixed(1)}`;
  const cells = [
    `[${name}](../${name}.yaml)`,
    prediction.turns,
    `${peakNm.toFixed(1)} at ${radiusMm[removalNm.indexOf(peakNm)]!.toFixed(1)}`,
    rim(longest.innerRim),
    rim(longest.outerRim),
    longest.contactSpanMm.toFixed(1),
    longest.width90Mm.toFixed(1),
    longest.centroidMm.toFixed(1),
    lapPatternNm.toFixed(1),
    rippleNm.toFixed(1),
    warnings.length,
    `[plot](${name}.svg)`,
  ];
  return `| ${cells.join(' | ')} |`;
}

function page(rows: readonly string[]): string {
  return `# What the examples take off

Forecasts of the programs in [the folder above](../README.md), with the removal coefficient used before a measured run (8.06e-13 per
Pa): depths may be wrong several times over until you have learned your own, shapes do not depend on it. Heights in nm, lengths in
mm. Rims and widths are those of the longest stint: depth at the lap's inner and outer rim, then the 10-90 % width of the flank.

| program | turns | deepest | inner rim | outer rim | contact span | holds 90 % | centroid | lap pattern | ripple | warnings | |
| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |
${rows.join('\n')}

\`npm run -s wholeturn -- predict FILE --report DIR\` writes a page for any program, with the map, the reversals and the lap pattern.
This page is generated; \`test/removal/example-forecasts.ts\` writes it and a test keeps it up to date.
`;
}

if (require.main === module) {
  mkdirSync(FOLDER, { recursive: true });
  for (const [name, text] of forecastFiles()) writeFileSync(join(FOLDER, name), text);
}
