import { reduce } from '../../planner/figure/reduce';
import type { Figure } from '../../planner/figure/types';
import { BEFORE_LEARNING } from '../../planner/learn/combine';
import {
  type LearnedFromRun,
  learnFromRun,
  learnReport,
  mismatchOf,
  type WalkedRun,
} from '../../planner/learn/learn-run';
import { readProgram } from '../../planner/program/read-program';
import { RemovalRefused } from '../../planner/removal/refusal';
import { defaultLogbookFile } from '../logbook/database';
import { EvidenceBook, recipeOf } from '../logbook/evidence';
import { Logbook } from '../logbook/logbook';
import { walkedRun } from '../logbook/walked-run';
import { readText } from './files';
import { readMeasurementFile, readPositive, readShelfFor, readStandFor } from './measurement-files';
import { hanging } from './program-words';
import { type Call, InputError, usageComplaint, type Verb } from './verb';

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
    const mismatch = mismatchOf(walked, ...figures);
    if (mismatch !== null) throw usageComplaint(mismatch);
    const recipe = recipeOf(walked);
    const book = EvidenceBook.open(bookFile);
    try {
      const earlier = book.of(recipe, walked.id);
      const result = orComplain(() => learnFromRun(walked, ...figures, earlier), walked.program.file);
      if (result.taught) book.keep(recipe, result.taught, Date.now());
      call.out(call.json ? `${JSON.stringify(learnReport(result, walked.virtual))}\n` : page(walked, result));
      return 0;
    } finally {
      book.close();
    }
  },
};

function whatWasWalked(call: Call, shelf: Parameters<typeof readProgram>[2], bookFile: string): WalkedRun {
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
    const stand = readStandFor(file, call);
    return { program, stand, id, turns, minutes, virtual: stand.virtual };
  }
  const book = Logbook.open(bookFile);
  try {
    const row = book.run(String(run));
    if (row === null)
      throw usageComplaint(`There is no run "${String(run)}" in the logbook. "wholeturn logbook" lists them.`);
    if (row.air) throw usageComplaint(`Run ${row.id} was an air run: the lap stayed up, so it teaches nothing.`);
    const { program, complaints } = readProgram(row.programText, row.programFile, shelf);
    if (program === null) throw new InputError(complaints);
    const walked = walkedRun(book, row, program, readStandFor(row.programFile, call));
    return { ...walked, turns: turns ?? walked.turns, minutes: minutes ?? walked.minutes };
  } finally {
    book.close();
  }
}

/** Throws InputError where no forecast of the run can be made. */
function orComplain(learn: () => LearnedFromRun, file: string): LearnedFromRun {
  try {
    return learn();
  } catch (error) {
    if (!(error instanceof RemovalRefused)) throw error;
    throw new InputError(error.reasons.map(({ field, message }) => ({ file, line: 1, column: 1, field, message })));
  }
}

function page({ program, virtual }: WalkedRun, { taught, refused, learned }: LearnedFromRun): string {
  const lines: string[] = [];
  if (virtual) lines.push('  This was a virtual stand: nothing of it is used for real glass.');
  if (taught === null) {
    lines.push(hanging('  ', refused));
    lines.push(hanging('  ', 'The coefficient stays as it was.'));
  } else {
    const { evidence } = taught;
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
