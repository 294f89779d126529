/** How to put the controller's image on a board, and whether the right one is on it. Runs no other program: a person does. */
import { randomInt } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { IMAGES, imageHash, readManifest, sha256, TARGETS } from '../controller/images';
import { type PinBoard, readPins } from '../controller/pin-table';
import { RealClock } from '../stand/clock';
import { SerialLink } from '../stand/serial/serial-link';
import { shownName } from '../stand/serial/words';
import type { StandIdentity } from '../stand/stand-link';
import { type Call, MachineError, usageComplaint, type Verb } from './verb';

/** Boot loader of the usual carrier boards, as avrdude calls it; bits a second of both. */
const LOADERS: Record<PinBoard['board'], string> = { reference: 'wiring', small: 'arduino' };
const LOADER_BAUD = 115_200;
/** Nothing is moved by asking who is there; these only have to be allowed. */
const OPEN = { rampMs: 500, hostSilentMs: 500, liftTimeoutMs: 3000, enableDelayMs: 200 };

export const flash: Verb = {
  summary: 'Says how to flash the controller, and checks which image is on it.',
  usage: 'flash --port PORT (--board reference|small | --check) [--json]',
  help: [
    '--port PORT   the serial port of the board; "wholeturn ports" lists them',
    '--board       reference (ATmega2560) or small (ATmega328P): prints the avrdude command for it',
    '--check       asks the controller which image it runs and compares it with the one of this version',
  ],
  options: { port: { type: 'string' }, board: { type: 'string' }, check: { type: 'boolean' } },
  positionals: [0, 0],
  async run(call: Call): Promise<number> {
    const { port, board, check } = call.values;
    if (typeof port !== 'string' || port === '') throw usageComplaint('Name the port of the board: --port PORT.');
    if (check === true) return checkImage(call, port);
    const found = readPins().find((one) => one.board === board);
    if (found === undefined)
      throw usageComplaint('Say which board it is: --board reference (ATmega2560) or --board small (ATmega328P).');
    const args = flashArguments(found, port);
    if (call.json) call.out(`${JSON.stringify({ program: 'avrdude', arguments: args })}\n`);
    else call.out(flashPage(found, ['avrdude', ...args], port));
    return 0;
  },
};

/** What avrdude is called with. Throws InputError for a port that is no plain path, MachineError where the image is damaged. */
export function flashArguments({ board, chip }: PinBoard, port: string): string[] {
  if (shownName(port, 200) !== port || port.startsWith('-')) throw usageComplaint('That is no name of a serial port.');
  const file = TARGETS.find((target) => target.board === board)!.file;
  const image = join(IMAGES, file);
  const kept = readManifest().images.find((one) => one.file === file);
  if (kept?.sha256 !== sha256(readFileSync(image)))
    throw new MachineError(`${image} is not the image its manifest speaks of. Get it anew; do not flash this one.`);
  // -D: the boot loader erases page by page. The image is named by its full path, so the command works from anywhere.
  return [
    '-p',
    chip.toLowerCase(),
    '-c',
    LOADERS[board],
    '-P',
    port,
    '-b',
    `${LOADER_BAUD}`,
    '-D',
    '-U',
    `flash:w:${image}:i`,
  ];
}

function flashPage({ chip }: PinBoard, command: readonly string[], port: string): string {
  return [
    `Drives without power, lap up. Then flash the ${chip} with avrdude (nothing was run for you):`,
    '',
    `  ${command.map((word) => quoted(word, process.platform)).join(' ')}`,
    '',
    `Afterwards: wholeturn flash --check --port ${quoted(port, process.platform)}`,
    '',
  ].join('\n');
}

/** A word as a person may paste it into a terminal, whatever it holds. */
export function quoted(word: string, platform: NodeJS.Platform): string {
  if (/^[\w@%+=:,./-]+$/.test(word)) return word;
  return platform === 'win32' ? `"${word.replaceAll('"', '')}"` : `'${word.replaceAll("'", "'\\''")}'`;
}

async function checkImage(call: Call, path: string): Promise<number> {
  const link = new SerialLink({ clock: new RealClock(), linkId: randomInt(1, 0x4000), path, expected: null });
  let identity: StandIdentity;
  try {
    identity = await link.open(OPEN);
  } catch (error) {
    throw new MachineError((error as Error).message);
  } finally {
    await link.close();
  }
  const expected = imageHash();
  const same = identity.imageHash === expected;
  const hex = (hash: number): string => hash.toString(16).padStart(8, '0');
  const { board, protocol } = identity;
  const told = { port: path, board, protocol, imageHash: hex(identity.imageHash), expected: hex(expected), same };
  if (call.json) call.out(`${JSON.stringify(told)}\n`);
  else
    call.out(
      `${shownName(path, 120)}: ${board}, revision ${protocol} of the wire, image ${told.imageHash}: ` +
        `${same ? 'the one of this version.' : `not the one of this version (${told.expected}). Flash it anew.`}\n`,
    );
  return same ? 0 : 2;
}
