import { writeFileSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { reduce } from '../../planner/figure/reduce';
import { BEFORE_LEARNING, combine } from '../../planner/learn/combine';
import type { Lap, Shelf } from '../../planner/shelf/types';
import type { Stand } from '../../planner/stand/types';
import { loadSolver } from '../../planner/suggest/milp';
import {
  type LapKnowledge,
  type Plan,
  type Suggestion,
  suggest as suggestFiguring,
} from '../../planner/suggest/suggest';
import { parseQuantity } from '../../planner/units/quantity';
import { defaultLogbookFile } from '../logbook/database';
import { EvidenceBook } from '../logbook/evidence';
import {
  MEASUREMENT_HELP,
  readMeasurementFile,
  readNotNegative,
  readPositive,
  readShelfFor,
  readStandFor,
} from './measurement-files';
import { hanging } from './program-words';
import { type Call, MachineError, usageComplaint, type Verb } from './verb';

const SECONDS = 10;
/** Unless asked otherwise: a wavefront of an eighth of a wave, two nanometres that may be cut below the target. */
const ENOUGH_WAVES = 1 / 8;
const MARGIN_NM = 2;
/** How sure a coefficient is that the person gives without saying. */
const SIGMA_GIVEN = 0.1;

/** From a measurement to a stroke program. */
export const suggest: Verb = {
  summary: 'Suggests what to work next: lap, stints and whole turns, and writes them as a program.',
  usage:
    'suggest MEASUREMENT [--lap NAME] [--slurry NAME] [--turntable "2.5 rpm"] [--rate "44 /min"] [--enough WAVES] [--json]',
  help: [
    ...MEASUREMENT_HELP,
    '--lap NAME       a lap on the shelf; otherwise the best of all',
    '--slurry NAME    the slurry the coefficient was learned with',
    '--turntable, --rate   how fast to work; 2.5 rpm and 44 /min otherwise',
    `--enough WAVES   wavefront from high to low that is good enough; ${ENOUGH_WAVES} otherwise`,
    `--margin NM      how far it may cut below the target; ${MARGIN_NM} otherwise`,
    '--low NM         what may stay low; 0 (everything comes down to the lowest zone) otherwise',
    '--local          only take off what stands higher than most of the area',
    '--k, --k-sigma   removal coefficient, 1/Pa, and its relative uncertainty, where the logbook is not to be asked',
    '--out FILE       where the program goes; NAME-suggested.yaml beside the measurement otherwise',
    '--shelf, --stand, --logbook   files; otherwise as for the other verbs',
  ],
  options: {
    shelf: { type: 'string' },
    stand: { type: 'string' },
    logbook: { type: 'string' },
    lap: { type: 'string' },
    slurry: { type: 'string' },
    turntable: { type: 'string' },
    rate: { type: 'string' },
    enough: { type: 'string' },
    margin: { type: 'string' },
    low: { type: 'string' },
    local: { type: 'boolean' },
    k: { type: 'string' },
    'k-sigma': { type: 'string' },
    out: { type: 'string' },
  },
  positionals: [1, 1],
  async run(call: Call): Promise<number> {
    const file = call.positionals[0]!;
    const shelf = readShelfFor(file, call);
    const stand = readStandFor(file, call);
    const measurement = readMeasurementFile(file, shelf);
    if (measurement.virtual && !stand.virtual)
      throw usageComplaint(
        `${file} was read from a virtual glass, and ${stand.name} is of iron: no program for real glass comes from it. Measure the real glass.`,
      );
    const slurryId = onShelf(call, 'slurry', shelf.slurries);
    const lapId = onShelf(call, 'lap', shelf.laps);
    const laps = lapId === null ? Object.values(shelf.laps) : [shelf.laps[lapId]!];
    const figure = reduce(measurement);
    const request = {
      figure,
      laps,
      slurryId,
      shelf,
      stand,
      turntableRpm: quantityOf(call, 'turntable', 'turntableSpeed', 2.5),
      strokesPerMinute: quantityOf(call, 'rate', 'rate', 44),
      knowledgeOf: knowledge(call, laps, figure.glass.id, slurryId, stand),
      enoughNm: ((readPositive(call, 'enough') ?? ENOUGH_WAVES) * figure.wavelengthNm) / 2,
      marginNm: readNotNegative(call, 'margin') ?? MARGIN_NM,
      downTo: call.values.local === true ? ('most of the area' as const) : ('lowest zone' as const),
      allowedLowNm: readNotNegative(call, 'low') ?? 0,
      edgeWeight: 1,
      seconds: SECONDS,
      alternatives: true,
    };
    const suggestion = suggestFiguring(request, await loadSolver());
    const written = suggestion.plan === null ? null : outFile(call, file);
    if (written !== null) writeProgram(written, suggestion.plan!.programText);
    const alternatives = suggestion.alternatives.map((plan) => {
      const to = besideFile(written ?? file, plan.name);
      writeProgram(to, plan.programText);
      return { ...planReport(plan), file: to };
    });
    if (call.json)
      call.out(`${JSON.stringify({ virtual: figure.virtual, ...report(suggestion, written, alternatives) })}\n`);
    else call.out(`${figure.virtual ? VIRTUAL : ''}${page(suggestion, written, alternatives)}`);
    return 0;
  },
};

const VIRTUAL = '  From a virtual glass, for the virtual stand: nothing of this is for real glass.\n';

function onShelf(call: Call, name: 'lap' | 'slurry', known: Shelf['laps'] | Shelf['slurries']): string | null {
  const asked = call.values[name];
  if (typeof asked !== 'string') return null;
  if (Object.hasOwn(known, asked)) return asked;
  throw usageComplaint(
    `There is no ${name} "${asked}" on the shelf. There: ${Object.keys(known).join(', ') || 'none'}.`,
  );
}

function quantityOf(call: Call, name: string, kind: 'turntableSpeed' | 'rate', otherwise: number): number {
  const text = call.values[name];
  if (typeof text !== 'string') return otherwise;
  const parsed = parseQuantity(text, kind);
  if (!parsed.ok) throw usageComplaint(`--${name}: "${text}" ${parsed.reason}.`);
  if (parsed.value <= 0) throw usageComplaint(`--${name} must be above 0.`);
  return parsed.value;
}

/** From the options, or from what the logbook holds of these laps with this slurry on this glass. */
function knowledge(
  call: Call,
  laps: readonly Lap[],
  glassId: string,
  slurryId: string | null,
  { virtual }: Stand,
): (lap: Lap) => LapKnowledge {
  const k = readPositive(call, 'k');
  const sigma = readPositive(call, 'k-sigma') ?? SIGMA_GIVEN;
  if (k !== undefined) return () => ({ kPerPa: k, sigma, runs: 0 });
  const { logbook } = call.values;
  const book = EvidenceBook.open(typeof logbook === 'string' ? logbook : defaultLogbookFile(call.environment));
  try {
    const known = new Map(laps.map((lap) => [lap.id, book.of({ lapId: lap.id, slurryId, glassId, virtual })]));
    return (lap) => {
      const kept = known.get(lap.id) ?? [];
      const worked = kept.reduce((sum, { minutes }) => sum + minutes, 0);
      const evidence = kept.map((one) => one.evidence);
      return combine(evidence, BEFORE_LEARNING, worked);
    };
  } finally {
    book.close();
  }
}

function outFile(call: Call, measurement: string): string {
  return typeof call.values.out === 'string' ? call.values.out : besideFile(measurement, 'suggested');
}

function besideFile(file: string, name: string): string {
  const stem = basename(file).replace(/(-suggested)?\.ya?ml$/, '');
  return join(dirname(file), `${stem}-${name}.yaml`);
}

function writeProgram(file: string, text: string): void {
  try {
    writeFileSync(file, text);
  } catch (error) {
    throw new MachineError(
      `The program cannot be written to ${file} (${(error as Error).message}). Name another place with --out.`,
    );
  }
}

function planReport(plan: Plan) {
  const { pvNm, rmsNm, minutes } = plan.predicted;
  return {
    name: plan.name,
    lap: plan.lap.id,
    stints: plan.stints.map(({ candidate, turns }) => ({
      turns,
      stroke: candidate.widthMm > 0 ? 'ellipse' : 'straight',
      atMm: candidate.settingMm,
      lengthMm: candidate.lengthMm,
      widthMm: candidate.widthMm,
      nudge: candidate.nudge,
    })),
    predicted: { pvNm, rmsNm },
    minutes,
    words: plan.words,
  };
}

type Written = ReturnType<typeof planReport> & { file: string };

function report(suggestion: Suggestion, file: string | null, alternatives: Written[]) {
  const { plan, before, limitedBy, kind, words, waysDown } = suggestion;
  const own = plan ? planReport(plan) : { lap: null, stints: [], predicted: before, minutes: 0 };
  return {
    kind,
    lap: own.lap,
    stints: own.stints,
    predicted: own.predicted,
    before,
    minutes: own.minutes,
    limitedBy,
    alternatives,
    waysDown: waysDown.map(({ words: way, volumeMm3, hours, leftLowNm }) => ({
      words: way,
      volumeMm3,
      hours,
      leftLowNm,
    })),
    words,
    file,
  };
}

function page(suggestion: Suggestion, file: string | null, alternatives: Written[]): string {
  const lines = suggestion.words.map((words) => hanging('  ', words));
  lines.push(hanging('  ', `Before: ${suggestion.before.pvNm.toFixed(0)} nm from high to low.`));
  lines.push(hanging('  ', `Limited by ${suggestion.limitedBy}.`));
  if (suggestion.waysDown.length > 0) lines.push('', ...suggestion.waysDown.map(({ words }) => hanging('  ', words)));
  if (file !== null) lines.push('', `  The program: ${file}`);
  for (const other of alternatives) lines.push('', hanging('  ', other.words), `  The program: ${other.file}`);
  return `${lines.join('\n')}\n`;
}
