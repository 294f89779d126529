/** Runs a program on a stand of iron: the same conductor as a rehearsal, in a thread of its own, on the clock on the wall. */
import { randomInt } from 'node:crypto';
import { compileProgram } from '../../planner/steps/summary';
import { knownCoefficient } from '../logbook/coefficient';
import { defaultLogbookFile } from '../logbook/database';
import { interruptedRun } from '../logbook/left-open';
import { Logbook } from '../logbook/logbook';
import { describeRun } from '../logbook/recorder';
import { LogbookWriter, notKeptWords } from '../logbook/writer';
import { planRun } from '../run/plan';
import { RunThread } from '../run/thread-host';
import { RealClock } from '../stand/clock';
import { attend } from './attend';
import { PROGRAM_HELP, PROGRAM_OPTIONS, readProgramFiles } from './files';
import { needPersonFor } from './go-on';
import { haveCautionsRead, notCommissionedWords } from './person';
import { programPage } from './program-words';
import { reportPage } from './report-page';
import { requireOwnImage } from './right-image';
import { type Call, InputError, MachineError, usageComplaint, type Verb } from './verb';
import { WAY_HELP, WAY_OPTIONS, wayOf } from './way';

export const run: Verb = {
  summary: 'Runs a stroke program on the stand at a serial port. Things move.',
  usage:
    'run PROGRAM --port PORT [--air] [--pace N] [--person NAME] [--shelf FILE] [--stand FILE] [--logbook FILE] [--json]',
  help: [
    ...PROGRAM_HELP,
    ...WAY_HELP,
    '--port PORT   the serial port of the controller; "wholeturn ports" lists them',
    '--person NAME who is at the stand, for the logbook; otherwise who is logged in',
    '--logbook     where to keep it; otherwise $WHOLETURN_HOME or ~/.wholeturn, logbook.db',
    'The stand file must say commissioned: true; hardware-notes/COMMISSIONING.md tells when to write that. At a terminal,',
    'Enter starts the walk and goes on where it waits for a person; Ctrl+C eases to a standstill along the path and',
    'lifts the lap.',
  ],
  options: {
    ...PROGRAM_OPTIONS,
    ...WAY_OPTIONS,
    port: { type: 'string' },
    person: { type: 'string' },
    logbook: { type: 'string' },
  },
  positionals: [1, 1],
  async run(call: Call): Promise<number> {
    const { port, logbook: named } = call.values;
    if (typeof port !== 'string' || port === '')
      throw usageComplaint('Name the port of the controller: --port PORT. "wholeturn ports" lists what there is.');
    const way = wayOf(call);
    const files = readProgramFiles(call);
    const { program, stand } = files;
    if (!stand.commissioned) throw new MachineError(notCommissionedWords(files));
    const { summary, complaints } = compileProgram(program, stand);
    const plan = planRun(program, stand);
    if (summary === null || Array.isArray(plan)) throw new InputError(complaints);
    if (call.onLine === undefined && plan.path.rests.some(({ reason }) => reason === 'hand clocking'))
      throw new MachineError(
        'In this program a person turns the lap by hand. Run it at a terminal; nothing has moved.',
      );

    const file = typeof named === 'string' ? named : defaultLogbookFile(call.environment);
    const logbook = Logbook.open(file);
    const interrupted = await (async () => {
      if (!stand.virtual) await haveCautionsRead(call, logbook, Date.now());
      // An air run leaves what was cut short as it is.
      if (way.air) return null;
      const found = interruptedRun(logbook, { text: files.programText, virtual: stand.virtual });
      needPersonFor(call, found);
      return found;
    })().finally(() => logbook.close());
    if (!call.json) call.out(`${programPage(program, stand, summary)}\n`);

    let trouble: string | null = null;
    let thread: RunThread | null = null;
    const writer = await LogbookWriter.open(file, (words) => {
      call.err(`${notKeptWords(words)}\n`);
      thread?.notKept(words);
    });
    try {
      const recorder = writer.recorderPort(describeRun(files, summary, { virtual: stand.virtual, kind: 'run' }));
      const linkId = randomInt(1, 0x4000);
      await requireOwnImage(stand, { path: port, linkId, clock: new RealClock() }).catch((error: Error) => {
        throw new MachineError(error.message);
      });
      thread = await RunThread.begin({
        program,
        stand,
        choice: { kind: 'serial', path: port, linkId },
        interrupted,
        kPerPa: knownCoefficient(file, program, stand.virtual),
        recorder,
        happened: (_kind, _turns, words) => call.err(`${call.terminal ? '\r\x1b[K' : ''}${words}\n`),
        worn: () => {},
        died: (words) => {
          trouble = words;
        },
      }).catch((error: Error) => {
        throw new MachineError(error.message);
      });
      const report = await attend(call, plan, thread, way, () => trouble);
      if (call.json) call.out(`${JSON.stringify(report)}\n`);
      else call.out(reportPage({ plan, summary, report, where: `on ${stand.name}`, logbookFile: file }));
      return report.state === 'Complete' ? 0 : 2;
    } finally {
      await writer.close();
    }
  },
};
