import { formatDuration } from '../../planner/units/format';
import { defaultLogbookFile } from '../logbook/database';
import { runsLeftOpen } from '../logbook/left-open';
import { Logbook, type RunRow } from '../logbook/logbook';
import { stateWords } from '../run/words';
import { type Call, usageComplaint, type Verb } from './verb';

const DEFAULT_RUNS = 20;

/** What was run, latest first; and what was cut short, with where it stood. */
export const logbook: Verb = {
  summary: 'Lists what was run, and where a run stood that was cut short.',
  usage: 'logbook [--last N] [--logbook FILE] [--json]',
  help: [
    `--last N      so many runs; ${DEFAULT_RUNS} otherwise`,
    '--logbook     the file; otherwise $WHOLETURN_HOME or ~/.wholeturn, logbook.db',
  ],
  options: { last: { type: 'string' }, logbook: { type: 'string' } },
  positionals: [0, 0],
  async run(call: Call): Promise<number> {
    const last = Number(call.values.last ?? DEFAULT_RUNS);
    if (!Number.isInteger(last) || last < 1) throw usageComplaint('--last is a whole number above 0.');
    const { logbook: named } = call.values;
    const book = Logbook.open(typeof named === 'string' ? named : defaultLogbookFile(call.environment));
    try {
      const runs = book.runs(last);
      const leftOpen = runsLeftOpen(book);
      if (call.json) call.out(`${JSON.stringify({ file: book.file, runs, leftOpen })}\n`);
      else {
        for (const { words } of leftOpen) call.out(`${words}\n`);
        if (leftOpen.length > 0) call.out('\n');
        for (const run of runs) call.out(`${runLine(run)}\n`);
        if (runs.length === 0) call.out('Nothing was run yet.\n');
      }
      return 0;
    } finally {
      book.close();
    }
  },
};

function runLine(run: RunRow): string {
  const when = new Date(run.startedMs).toISOString().slice(0, 16).replace('T', ' ');
  const came =
    run.report === null
      ? run.endedMs === null
        ? 'not ended'
        : 'cut short'
      : `${stateWords(run.report.state, null, false)}, ${Number(run.report.turnsWalked.toFixed(2))} of ${run.plannedTurns} turns ` +
        `in ${formatDuration(run.report.durationSeconds)}`;
  const air = run.air ? ', an air run' : '';
  return `${when}  ${run.virtual ? 'virtual' : '       '}  ${run.id}  ${run.title}${air}: ${came}`;
}
