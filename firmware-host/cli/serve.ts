/** Brings up the pages: the host with the virtual stand and a program, on this machine only. */
import { randomInt } from 'node:crypto';
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { BEFORE_LEARNING } from '../../planner/learn/combine';
import { readProgram } from '../../planner/program/read-program';
import type { Complaint } from '../../planner/program/types';
import type { Shelf } from '../../planner/shelf/types';
import type { Stand } from '../../planner/stand/types';
import { knownCoefficient } from '../logbook/coefficient';
import { defaultLogbookFile } from '../logbook/database';
import { interruptedRun } from '../logbook/left-open';
import { Logbook } from '../logbook/logbook';
import { LogbookWriter, notKeptWords } from '../logbook/writer';
import type { RunDesk } from '../server/desk';
import { openRunDesk, type Walkable } from '../server/run-desk';
import { serve as serveDesk } from '../server/server';
import { type PlannedFiles, type Stage, walkableOf } from '../server/walkable';
import { WorkbookThread } from '../server/workbook-host';
import { RealClock } from '../stand/clock';
import { VirtualGlasses } from '../virtual/glass/glasses';
import { PROGRAM_HELP, PROGRAM_OPTIONS, readProgramFiles } from './files';
import { notCommissionedWords } from './person';
import { requireOwnImage } from './right-image';
import { type Call, InputError, MachineError, usageComplaint, type Verb } from './verb';

const PAGES = join(__dirname, '..', '..', 'web-ui', 'dist');
const EXAMPLES = join(__dirname, '..', '..', 'planner', 'examples');
const DEMO = join(EXAMPLES, 'raised-ring.yaml');
const DEFAULT_PORT = 7410;
/** The demo of 13 minutes is over in well under one. */
const DEFAULT_SPEED = 20;

export const serve: Verb = {
  summary: 'Brings up the pages in the browser, on the virtual stand or on the one at a serial port.',
  usage: 'serve [PROGRAM] [--port N] [--speed N] [--stand-port PORT] [--shelf FILE] [--stand FILE] [--logbook FILE]',
  help: [
    ...PROGRAM_HELP.map((line) => line.replace('PROGRAM  ', '[PROGRAM]')),
    `--port        0 takes any free one; ${DEFAULT_PORT} otherwise`,
    `--speed       how many times real time the virtual stand walks; ${DEFAULT_SPEED} otherwise, 1 is real`,
    '--stand-port  the serial port of a stand of iron; its file must say commissioned: true',
    '              (hardware-notes/COMMISSIONING.md tells when to write that). Things move.',
    '--logbook     where to keep it, what is virtual marked so; otherwise $WHOLETURN_HOME or ~/.wholeturn, logbook.db',
  ],
  options: {
    ...PROGRAM_OPTIONS,
    port: { type: 'string' },
    speed: { type: 'string' },
    'stand-port': { type: 'string' },
    logbook: { type: 'string' },
  },
  positionals: [0, 1],
  async run(call: Call): Promise<number> {
    const port = wholeNumber(call.values.port, 'port', DEFAULT_PORT, 0, 65_535);
    const { 'stand-port': standPort } = call.values;
    const path = typeof standPort === 'string' ? standPort : null;
    const speedFactor = path === null ? wholeNumber(call.values.speed, 'speed', DEFAULT_SPEED, 1, 200) : 1;
    if (!existsSync(join(PAGES, 'index.html')))
      throw new MachineError('The pages are not built yet. Run `npm start`, which builds them.');
    const { logbook: named } = call.values;
    const file = typeof named === 'string' ? named : defaultLogbookFile(call.environment);
    const logbook = Logbook.open(file);
    let notKept = (_words: string): void => {};
    const writer = await LogbookWriter.open(file, (words) => {
      call.err(`${notKeptWords(words)}\n`);
      notKept(words);
    });
    const glasses = new VirtualGlasses(() => randomInt(2 ** 40) / 2 ** 40, BEFORE_LEARNING.kPerPa);
    const stage: Stage = {
      writer,
      choice: async ({ glass }, stand) => {
        const linkId = randomInt(1, 0x4000);
        if (path !== null) {
          await requireOwnImage(stand, { path, linkId, clock: new RealClock() });
          return { kind: 'serial', path, linkId };
        }
        return { kind: 'virtual', speedFactor, bootId: randomInt(1, 0x10000), linkId, glass: glasses.of(glass) };
      },
      worn: (glass, { after }) => glasses.keep(glass, after),
      kPerPa: (program) => knownCoefficient(file, program, path === null),
      interrupted: ({ programText, stand }) =>
        interruptedRun(logbook, { text: programText, virtual: path === null || stand.virtual }),
    };
    const walkable = (programFile: string): Walkable => {
      const files = readProgramFiles({ ...call, positionals: [programFile] });
      if (path !== null && !files.stand.commissioned) throw new MachineError(notCommissionedWords(files));
      return orComplain(walkableOf(files, stage));
    };
    const desk = await openRunDesk({
      first: walkable(call.positionals[0] ?? DEMO),
      find: (example) => {
        const programFile = join(EXAMPLES, `${example}.yaml`);
        return existsSync(programFile) ? orWords(() => walkable(programFile)) : `There is no example "${example}".`;
      },
      read: (text, { shelf, plan }) =>
        orWords(() => orComplain(walkableOf(programOfPage(text, shelf, plan.stand), stage))),
      speedFactor,
      nowMs: Date.now,
      workbook: new WorkbookThread(file),
      glassUnder: ({ program }) => (path === null ? glasses.of(program.glass) : null),
      cautions: {
        names: () => logbook.cautionsAcknowledged(),
        acknowledge: (name) => logbook.acknowledgeCautions(name, desk.view().virtual, Date.now()),
      },
    }).catch((error: Error) => {
      if (path === null || error instanceof InputError) throw error;
      throw new MachineError(error.message);
    });
    notKept = (words) => desk.notKept(words);
    const served = await serveDesk({ desk, pages: PAGES, port, nowMs: Date.now });
    call.out(upWords(served.url, path === null ? null : desk.view().standWords));
    await new Promise<void>((resolve) => call.onInterrupt(resolve));
    await desk.ask({ ask: 'stop' });
    await standingStill(desk);
    await served.close();
    await writer.close();
    logbook.close();
    return 0;
  },
};

/** `iron`: what the stand at a serial port says it is. */
function upWords(url: string, iron: string | null): string {
  return [
    iron === null
      ? 'Wholeturn is up, with the virtual stand: nothing of iron moves and no glass is touched.'
      : `Wholeturn is up. ${iron}: things move when a page says start.`,
    'Open this address in a browser on this machine (it carries a key that is good until the host stops):',
    '',
    `  ${url}`,
    '',
    'Ctrl+C stops the host; a run under way eases to rest first.',
    '',
  ].join('\n');
}

function wholeNumber(
  value: string | boolean | undefined,
  name: string,
  otherwise: number,
  least: number,
  most: number,
): number {
  if (value === undefined) return otherwise;
  const number = Number(value);
  if (Number.isInteger(number) && number >= least && number <= most) return number;
  throw usageComplaint(`--${name} is a whole number from ${least} to ${most}, not "${value}".`);
}

/** A run that was stopped is at rest within a second or two; a stand that does not answer is not waited for longer. */
async function standingStill(desk: RunDesk): Promise<void> {
  const clock = new RealClock();
  const latest = clock.now() + 5;
  while (/ing$/.test(desk.view().state) && clock.now() < latest)
    await new Promise<void>((resolve) => clock.after(0.05, resolve));
}

function orWords(find: () => Walkable): Walkable | string {
  try {
    return find();
  } catch (error) {
    if (error instanceof InputError) return error.complaints.map(({ message }) => message).join(' ');
    return (error as Error).message;
  }
}

/** A program that came from a page as the text of a file. Throws InputError. */
function programOfPage(programText: string, shelf: Shelf, stand: Stand): PlannedFiles {
  const { program, complaints } = readProgram(programText, 'planned on a page', shelf);
  if (program === null) throw new InputError(complaints);
  return { program, programText, shelf, stand };
}

function orComplain(planned: Walkable | Complaint[]): Walkable {
  if (Array.isArray(planned)) throw new InputError(planned);
  return planned;
}
