/** `npm run conformance`: from what was typed to a report and an exit code, as the verbs of the command line have them. */
import { randomInt } from 'node:crypto';
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { ask } from '../../firmware-host/cli/person';
import { askWho, hex } from '../../firmware-host/cli/right-image';
import {
  complaintLine,
  InputError,
  MachineError,
  type Surroundings,
  usageComplaint,
} from '../../firmware-host/cli/verb';
import { imageHash } from '../../firmware-host/controller/images';
import { readPins } from '../../firmware-host/controller/pin-table';
import type { HostClock } from '../../firmware-host/stand/clock';
import { BOARDS } from '../../firmware-host/stand/codes';
import type { Ports } from '../../firmware-host/stand/serial/port';
import { shownName } from '../../firmware-host/stand/serial/words';
import type { StandIdentity } from '../../firmware-host/stand/stand-link';
import { bareBoard } from './bare-port';
import type { Summary } from './exchange';
import { hostSession } from './host';
import { newFile, RESULTS } from './report';

export interface World {
  clock: HostClock;
  /** Local time of the computer. */
  date: Date;
  ports: Ports;
  /** Rules to be held; null for all. */
  only: readonly string[] | null;
}

const USAGE = 'npm run conformance -- --port PORT [--report FILE] [--person NAME]';
const HELP = `${USAGE}

Holds a controller board on a table against its SPEC, step by step with a person, and writes a report.

  --port PORT    the serial port of the board; "npm run -s wholeturn -- ports" lists them
  --report FILE  where to write the report; never over a file that is there
  --person NAME  who did it, for the report

Exit code 0: nothing failed (what was left out stands in the report). 1: something to put right in what you gave it.
2: something failed, or it ended before all steps were gone through.
`;

const CAUTIONS = `
Before anything is connected:

  - This suite switches the outputs of the board as if a stand hung on them: drives on, steps on all axes, lap down. Nothing but
    the bare board may be joined to this computer: no drive, no motor, no lift, no pump.
  - Is the board built into a stand? Press the emergency stop, then unplug STEP, DIR, ENABLE and LOWER from the board, with the lap
    up and held, and the glass taken away. An emergency stop alone is not enough.
  - Work at the pins of the board only, 5 V and ground. Never at a drive's supply and never at mains.
  - It tests no safety function, and a good report says nothing of how safe a stand is.
  - Whoever is not sure that all of this is so asks somebody qualified first.

Type bare when nothing but the bare board is connected, anything else to leave: `;

/** Returns the exit code; tells complaints on stderr. */
export async function conformance(args: readonly string[], call: Surroundings, world: World): Promise<number> {
  try {
    return await run(args, call, world);
  } catch (error) {
    if (error instanceof InputError) {
      for (const complaint of error.complaints) call.err(`${complaintLine(complaint)}\n`);
      return 1;
    }
    const { message } = error as Error;
    call.err(error instanceof MachineError ? `${message}\n` : `This is a fault of Wholeturn itself: ${message}\n`);
    return 2;
  }
}

async function run(args: readonly string[], call: Surroundings, world: World): Promise<number> {
  const { port: path, report, person, help } = read(args);
  if (help) {
    call.out(HELP);
    return 0;
  }
  if (path === undefined || path === '') throw usageComplaint(`Name the port of the board. ${USAGE}`);
  const file = report ?? `conformance-${stamp(world.date).replace(/[^\d]/g, '')}.md`;
  if (existsSync(file))
    throw usageComplaint(`${shownName(file, 200)} is there already, and a report is never written over. Name another.`);
  if (call.onLine === undefined)
    throw new MachineError('This needs a person at a terminal, at every step. Nothing was sent to the board.');
  const sure = await ask({ ...call, positionals: [], values: {}, json: false }, CAUTIONS);
  if (sure?.trim().toLowerCase() !== 'bare') throw new MachineError('Left; nothing was sent to the board.');

  const identity = await whoIsThere(path, world);
  const boardCode = BOARDS.indexOf(identity.board);
  if (bareBoard(boardCode, readPins()) === undefined)
    throw new MachineError(
      `${shownName(path, 120)} leads to ${shownName(identity.board)}, which this version does not know.`,
    );
  const keep = takeFile(file);
  const summary = await hostSession({
    ...world,
    path,
    call,
    keep,
    boardCode,
    subject: {
      board: identity.board,
      firmware: 'not asked yet',
      port: shownName(path, 120),
      imageHash: hex(identity.imageHash),
      person: shownName(person),
      begun: stamp(world.date),
      version: version(),
    },
  }).catch((error: Error) => {
    throw new MachineError(`${error.message} What was found so far stands in ${file}.`);
  });
  call.out(`${summaryWords(summary)} Report: ${file}\n`);
  return exitCodeOf(summary);
}

function read(args: readonly string[]): { port?: string; report?: string; person?: string; help?: boolean } {
  const text = { type: 'string' } as const;
  try {
    return parseArgs({
      args: [...args],
      options: { port: text, report: text, person: text, help: { type: 'boolean' } },
    }).values;
  } catch (error) {
    throw usageComplaint(`${(error as Error).message} ${USAGE}`);
  }
}

/** Throws MachineError, in words, where nobody, somebody else or another image answers. */
async function whoIsThere(path: string, { clock, ports }: World): Promise<StandIdentity> {
  const identity = await askWho({ clock, linkId: randomInt(1, 0x4000), path, ports }).catch((error: Error) => {
    throw new MachineError(error.message);
  });
  const ours = imageHash();
  if (identity.imageHash === ours) return identity;
  throw new MachineError(
    `The board runs image ${hex(identity.imageHash)}, this version's is ${hex(ours)}: an older one, a newer one, or one built ` +
      'for a stand with pins turned round. This suite holds the image of its own version only: flash it (wholeturn flash tells how), or ' +
      'take the version that the image belongs to.',
  );
}

function takeFile(file: string): (text: string) => void {
  try {
    return newFile(file);
  } catch (error) {
    throw usageComplaint(`The report cannot be written: ${(error as Error).message}.`);
  }
}

/** What was left out is no failure. */
export function exitCodeOf({ counts, complete }: Summary): number {
  return counts.failed === 0 && complete ? 0 : 2;
}

function summaryWords({ counts, complete }: Summary): string {
  const words = RESULTS.map((result) => `${counts[result]} ${result}`).join(', ');
  return `${complete ? 'Done' : 'Not gone through to the end'}: ${words}. No safety function was tested.`;
}

/** "2026-01-02 03:04". */
function stamp(date: Date): string {
  const two = (value: number): string => `${value}`.padStart(2, '0');
  const day = [date.getFullYear(), two(date.getMonth() + 1), two(date.getDate())].join('-');
  return `${day} ${two(date.getHours())}:${two(date.getMinutes())}`;
}

function version(): string {
  return (JSON.parse(readFileSync(join(__dirname, '..', '..', 'package.json'), 'utf8')) as { version: string }).version;
}
