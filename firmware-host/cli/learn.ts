import { reduce } from '../../planner/figure/reduce';
import { BEFORE_LEARNING, combine } from '../../planner/learn/combine';
import { evidenceOf } from '../../planner/learn/from-run';
import type { Learned, RunEvidence } from '../../planner/learn/types';
import { planProgram } from '../../planner/path/plan';
import type { Path } from '../../planner/path/types';
import { readProgram } from '../../planner/program/read-program';
import type { Program } from '../../planner/program/types';
import { radiiMm } from '../../planner/removal/profile';
import { RemovalRefused } from '../../planner/removal/refusal';
import { prepareRemoval, profileNm } from '../../planner/removal/removal';
import { defaultLogbookFile } from '../logbook/database';
import { EvidenceBook } from '../logbook/evidence';
import { Logbook } from '../logbook/logbook';
import { readText } from './files';
import { readMeasurementFile, readPositive, readShelfFor, readStandFor } from './measurement-files';
import { hanging } from './program-words';
import { type Call, InputError, usageComplaint, type Verb } from './verb';

/** What was walked, and how long it took. */
interface Walked {
  program: Program;
  id: string;
  turns: number | null;
  minutes: number | null;
  virtual: boolean;
}

/** From two measurements and the run between them to the removal coefficient. */
export const learn: Verb = {
  summary: 'Learns the removal coefficient from a run and the measurements before and after it.',
  usage:
    'learn PROGRAM --before FILE --after FILE [--turns N] [--minutes N] | learn --run ID --before FILE --after FILE [--json]',
  help: [
    'PROGRAM       the stroke program that was run',
    '--run ID      or the run in the logbook: its program, the turns it walked and its time are known',
    '--before, --after   the two measurements, best through the same mask',
    '--turns N     turns walked, where the run was stopped early',
    '--minutes N   how long it took, where it was not walked at the planned pace',
    '--shelf, --stand, --logbook   files; otherwise as for the other verbs',
    'What is learned goes into the logbook, for this lap with this slurry on this glass; a run on a virtual stand stays apart.',
  ],
  options: {
    run: { type: 'string' },
    before: { type: 'string' },
    after: { type: 'string' },
    turns: { type: 'string' },
    minutes: { type: 'string' },
    shelf: { type: 'string' },
    stand: { type: 'string' },
    logbook: { type: 'string' },
  },
  positionals: [0, 1],
  async run(call: Call): Promise<number> {
    const { before, after, logbook } = call.values;
    if (typeof before !== 'string' || typeof after !== 'string')
      throw usageComplaint(
        '--before and --after name the two measurements; without both there is nothing to learn from.',
      );
    const bookFile = typeof logbook === 'string' ? logbook : defaultLogbookFile(call.environment);
    const shelf = readShelfFor(call.positionals[0] ?? before, call);
    const walked = whatWasWalked(call, shelf, bookFile);
    const figures = [before, after].map((file) => reduce(readMeasurementFile(file, shelf))) as [Figure, Figure];
    const stand = readStandFor(walked.program.file, call);
    const { path } = planProgram(walked.program, stand);
    const turns = Math.min(path.turns, walked.turns ?? path.turns);
    const minutes = walked.minutes ?? turns / walked.program.turntableRpm;
    const recipe = {
      lapId: walked.program.lap.id,
      slurryId: walked.program.slurry?.id ?? null,
      glassId: figures[0].glass.id,
      virtual: walked.virtual,
    };
    const book = EvidenceBook.open(bookFile);
    try {
      const earlier = book.of(recipe, walked.id);
      const minutesBefore = earlier.reduce((sum, one) => sum + one.minutes, 0);
      const evidence = evidenceOf({
        id: walked.id,
        lapId: recipe.lapId,
        slurryId: recipe.slurryId,
        glassId: recipe.glassId,
        before: figures[0],
        after: figures[1],
        forecast: forecastOf(walked.program, path, turns),
        kPerPa: BEFORE_LEARNING.kPerPa,
        minutesBefore,
        minutes,
        meanSpeedMmPerS: wayMm(path, turns) / (60 * minutes),
      });
      if (evidence) book.keep(recipe, { evidence, minutes }, Date.now());
      const all = evidence ? [...earlier.map((one) => one.evidence), evidence] : earlier.map((one) => one.evidence);
      const learned = combine(all, BEFORE_LEARNING, minutesBefore + minutes);
      call.out(call.json ? `${JSON.stringify(reportOf(learned, evidence))}\n` : page(walked, learned, evidence));
      return 0;
    } finally {
      book.close();
    }
  },
};

type Figure = ReturnType<typeof reduce>;

function whatWasWalked(call: Call, shelf: Parameters<typeof readProgram>[2], bookFile: string): Walked {
  const turns = readPositive(call, 'turns') ?? null;
  const minutes = readPositive(call, 'minutes') ?? null;
  const file = call.positionals[0];
  const { run } = call.values;
  if ((file === undefined) === (run === undefined))
    throw usageComplaint('Name either the program or --run, the run in the logbook.');
  if (file !== undefined) {
    const { program, complaints } = readProgram(readText(file, 'a stroke program'), file, shelf);
    if (program === null) throw new InputError(complaints);
    const id = `${file} ${String(call.values.before)} ${String(call.values.after)}`;
    return { program, id, turns, minutes, virtual: readStandFor(file, call).virtual };
  }
  const book = Logbook.open(bookFile);
  try {
    const row = book.run(String(run));
    if (row === null)
      throw usageComplaint(`There is no run "${String(run)}" in the logbook. "wholeturn logbook" lists them.`);
    const { program, complaints } = readProgram(row.programText, row.programFile, shelf);
    if (program === null) throw new InputError(complaints);
    const walked = row.report?.turnsWalked ?? book.lastCheckpoint(row.id)?.turnsWalked ?? null;
    const lasted = row.report === null ? null : row.report.durationSeconds / 60;
    return { program, id: row.id, turns: turns ?? walked, minutes: minutes ?? lasted, virtual: row.virtual };
  } finally {
    book.close();
  }
}

function forecastOf(program: Program, path: Path, untilTurns: number): { radiusMm: number[]; removalNm: number[] } {
  try {
    const { lap, glass } = program;
    const removal = prepareRemoval({ path, lap, glass, kPerPa: BEFORE_LEARNING.kPerPa, untilTurns, ringStepMm: 1 });
    return { radiusMm: Array.from(radiiMm(removal.rings)), removalNm: Array.from(profileNm(removal)) };
  } catch (error) {
    if (!(error instanceof RemovalRefused)) throw error;
    throw new InputError(
      error.reasons.map(({ field, message }) => ({ file: program.file, line: 1, column: 1, field, message })),
    );
  }
}

const PROBES_PER_STROKE = 24;

/** Way of the lap's centre over the glass, mm, by the places it passes. */
function wayMm(path: Path, turns: number): number {
  const strokes = path.stints.reduce((sum, stint) => sum + stint.geared.strokes, 0);
  const probes = Math.max(100, Math.ceil((PROBES_PER_STROKE * strokes * turns) / path.turns));
  const rates = new Float64Array(8);
  const place = new Float64Array(4);
  let sum = 0;
  for (let i = 0; i < probes; i++) {
    const u = ((i + 0.5) / probes) * turns;
    path.sample(u, place);
    path.derivatives(u, rates);
    const spin = 2 * Math.PI * rates[0]!;
    sum += Math.hypot(rates[1]! + spin * place[2]!, rates[2]! - spin * place[1]!);
  }
  return (sum / probes) * turns;
}

function reportOf(learned: Learned, evidence: RunEvidence | null) {
  return {
    kPerPa: learned.kPerPa,
    kSigma: learned.sigma,
    runs: learned.runs,
    breakIn: learned.breakIn,
    radiusMm: evidence?.radiusMm ?? [],
    shapeResidualNm: evidence?.shapeResidualNm ?? [],
    shapeBandNm: evidence?.shapeBandNm ?? [],
    ratio: evidence?.ratio ?? null,
    misfit: evidence?.misfit ?? null,
    causes: evidence?.causes ?? [],
    warnings: learned.warnings,
  };
}

function page({ program, virtual }: Walked, learned: Learned, evidence: RunEvidence | null): string {
  const lines: string[] = [];
  if (virtual) lines.push('  This was a virtual stand: nothing of it is used for real glass.');
  if (evidence === null) {
    lines.push(hanging('  ', 'The run took off too little, or nothing but a change of focus: it teaches nothing.'));
  } else {
    const share = (100 * evidence.ratio).toFixed(0);
    lines.push(
      hanging(
        '  ',
        `The run took off ${share} % of what was forecast with ${BEFORE_LEARNING.kPerPa.toExponential(2)} /Pa.`,
      ),
    );
    for (const words of evidence.causes) lines.push(hanging('  ', words));
  }
  const sure = (100 * learned.sigma).toFixed(0);
  lines.push(
    hanging(
      '  ',
      `${program.lap.title}: ${learned.kPerPa.toExponential(2)} /Pa for the next run, to ${sure} %, from ${learned.runs} measured ${learned.runs === 1 ? 'run' : 'runs'}.`,
    ),
  );
  if (learned.breakIn) {
    const less = learned.breakIn.atFirst < 0 ? 'less' : 'more';
    const by = Math.abs(100 * learned.breakIn.atFirst).toFixed(0);
    lines.push(
      hanging('  ', `Fresh it cuts ${by} % ${less}; that fades within ${learned.breakIn.minutes} minutes of work.`),
    );
  }
  for (const words of learned.warnings) lines.push(hanging('  Beware: ', words));
  return `${lines.join('\n')}\n`;
}
