import { mkdirSync, writeFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import { planProgram } from '../../planner/path/plan';
import type { Program } from '../../planner/program/types';
import { type PredictOptions, predict as predictRemoval } from '../../planner/removal/predict';
import { RemovalRefused } from '../../planner/removal/refusal';
import { forecastReport, sentences } from '../../planner/removal/report';
import type { Prediction } from '../../planner/removal/types';
import { parseQuantity } from '../../planner/units/quantity';
import { PROGRAM_HELP, PROGRAM_OPTIONS, readProgramFiles } from './files';
import { hanging } from './program-words';
import { type Call, InputError, MachineError, usageComplaint, type Verb } from './verb';

/**
 * Used until a measured run has taught another: 20 um/h per (m/s) and psi, about what pitch laps took off borosilicate in
 * "Development and Results for Stressed-lap Polishing of Large Telescope Mirrors" (OFT 2014, OTh2B.4).
 */
const K_BEFORE_LEARNING_PER_PA = 8.06e-13;

/** What a program will do to the glass, before a stroke is made. */
export const predict: Verb = {
  summary: 'Forecasts what a program takes off: depth by radius, rims, what it leaves behind.',
  usage:
    'predict PROGRAM [--k NUMBER] [--zone "A mm to B mm"] [--until TURNS] [--report DIR] [--shelf FILE] [--stand FILE] [--json]',
  help: [
    ...PROGRAM_HELP,
    `--k NUMBER    removal coefficient, 1/Pa (learn it from measured runs; otherwise ${K_BEFORE_LEARNING_PER_PA})`,
    '--zone WORDS  the zone that is to be worked, "80 mm to 100 mm"; otherwise the width of the lap about the settings',
    '--until TURNS what there is on the glass if the run is stopped after so many turns walked',
    '--report DIR  also writes a page with plots, NAME-forecast.html, into the folder',
  ],
  options: {
    ...PROGRAM_OPTIONS,
    k: { type: 'string' },
    zone: { type: 'string' },
    until: { type: 'string' },
    report: { type: 'string' },
  },
  positionals: [1, 1],
  async run(call: Call): Promise<number> {
    const options = readOptions(call);
    const { program, stand } = readProgramFiles(call);
    const plan = planProgram(program, stand);
    const folder = typeof call.values.report === 'string' ? call.values.report : null;
    const { prediction, html } = forecast(program, () =>
      folder === null
        ? { prediction: predictRemoval(program, plan, options), html: null }
        : forecastReport(program, plan, options),
    );
    const file = folder === null || html === null ? null : writePage(folder, program, html);
    if (call.json) call.out(`${JSON.stringify(prediction)}\n`);
    else call.out(forecastPage(program, prediction, file, call.values.k === undefined));
    return 0;
  },
};

/** A refusal names a field of the program or its lap or glass; the place is the program's file. */
function forecast<T>(program: Program, compute: () => T): T {
  try {
    return compute();
  } catch (error) {
    if (!(error instanceof RemovalRefused)) throw error;
    throw new InputError(
      error.reasons.map(({ field, message, line }) => ({
        file: program.file,
        line: line ?? 1,
        column: 1,
        field,
        message,
      })),
    );
  }
}

function readOptions({ values }: Call): PredictOptions {
  const options: PredictOptions = { kPerPa: K_BEFORE_LEARNING_PER_PA };
  if (typeof values.k === 'string') options.kPerPa = readNumber(values.k, '--k', 'a removal coefficient like 8e-13');
  if (typeof values.until === 'string') options.untilTurns = readNumber(values.until, '--until', 'a number of turns');
  if (typeof values.zone === 'string') options.zone = readZone(values.zone);
  return options;
}

function readNumber(text: string, option: string, what: string): number {
  const value = Number(text);
  if (text.trim() === '' || !Number.isFinite(value) || value <= 0)
    throw usageComplaint(`${option} wants ${what} above 0, not "${text}".`);
  return value;
}

function readZone(text: string): { fromMm: number; toMm: number } {
  const ends = text.split(/\s+to\s+/).map((part) => parseQuantity(part, 'length'));
  const [from, to] = ends;
  if (ends.length !== 2 || !from?.ok || !to?.ok || !(from.value < to.value))
    throw usageComplaint(`--zone wants two radii, the smaller first: "80 mm to 100 mm", not "${text}".`);
  return { fromMm: from.value, toMm: to.value };
}

function writePage(folder: string, program: Program, html: string): string {
  const file = join(folder, `${basename(program.file).replace(/\.ya?ml$/, '')}-forecast.html`);
  try {
    mkdirSync(folder, { recursive: true });
    writeFileSync(file, html);
  } catch (error) {
    throw new MachineError(`The report cannot be written to ${folder} (${(error as Error).message}).`);
  }
  return file;
}

function forecastPage(program: Program, prediction: Prediction, file: string | null, notLearned: boolean): string {
  const lines = [program.title, ''];
  for (const sentence of sentences(prediction)) lines.push(hanging('  ', sentence));
  for (const { words, warns } of prediction.remainders) lines.push(hanging(warns ? '  Beware: ' : '  ', words));
  if (prediction.notPhysical) lines.push(hanging('  Beware: ', prediction.warnings[0]!));
  if (notLearned)
    lines.push(
      hanging(
        '  ',
        `The removal coefficient is not learned: ${K_BEFORE_LEARNING_PER_PA} /Pa stands for pitch and cerium oxide on ` +
          'borosilicate and may be wrong several times over. Work a shallow test run and measure.',
      ),
    );
  if (file !== null) lines.push(`  The page with the plots: ${file}`);
  return `${lines.join('\n')}\n`;
}
