import { reduce as reduceMeasurement } from '../../planner/figure/reduce';
import { reduceReport } from '../../planner/figure/report';
import { restOfMeasurement } from '../../planner/figure/rest';
import type { Figure, Measurement } from '../../planner/figure/types';
import { MEASUREMENT_HELP, readMeasurementFile, readReference, readShelfFor } from './measurement-files';
import { hanging } from './program-words';
import type { Call, Verb } from './verb';

const ROWS = 11;

/** From a measurement to the figure of the glass. */
export const reduce: Verb = {
  summary: 'Reduces a measurement to the figure of the glass: what stands high, what lies low, how sure that is.',
  usage: 'reduce MEASUREMENT [--reference WORDS] [--shelf FILE] [--json]',
  help: [
    ...MEASUREMENT_HELP,
    '--reference   what heights are counted from: "best fit" unless given, "highest under" (the highest curve of the asked',
    '              conic under the whole surface), "most of the area" or "same vertex radius"',
    '--shelf FILE  glasses, laps and slurries; otherwise shelf.yaml beside the measurement, else the demo shelf',
  ],
  options: { shelf: { type: 'string' }, reference: { type: 'string' } },
  positionals: [1, 1],
  async run(call: Call): Promise<number> {
    const file = call.positionals[0]!;
    const reference = readReference(call.values.reference);
    const measurement = readMeasurementFile(file, readShelfFor(file, call));
    const figure = reduceMeasurement(measurement, reference);
    if (call.json) call.out(`${JSON.stringify(reduceReport(figure))}\n`);
    else call.out(page(figure, measurement));
    return 0;
  },
};

function page(figure: Figure, measurement: Measurement): string {
  const lines = [
    `${figure.glass.title}${figure.virtual ? ' (a virtual glass: nothing of this holds for a real one)' : ''}`,
    '',
  ];
  for (const { words } of figure.findings) lines.push(hanging('  ', words));
  if (measurement.kind === 'knife-edge') lines.push(hanging('  ', restOfMeasurement(measurement).words));
  const waves = figure.wavefrontPvWaves.toFixed(3);
  lines.push(
    '',
    `  ${figure.pvNm.toFixed(1)} nm from high to low, ${figure.rmsNm.toFixed(1)} nm rms (${figure.reference}); ` +
      `${waves} wave at ${figure.wavelengthNm.toFixed(0)} nm; Strehl ${figure.strehl.toFixed(3)}`,
    '',
    '  radius mm   height nm   give or take',
  );
  const last = figure.radiusMm.length - 1;
  for (let k = 0; k < ROWS; k++) {
    const i = Math.round((k * last) / (ROWS - 1));
    const cell = (value: number, width: number): string => value.toFixed(1).padStart(width);
    lines.push(`  ${cell(figure.radiusMm[i]!, 9)}   ${cell(figure.surfaceNm[i]!, 9)}   ${cell(figure.bandNm[i]!, 12)}`);
  }
  return `${lines.join('\n')}\n`;
}
