/** How to put the controller's image on a board, and whether the right one is on it. Runs no other program: a person does. */
import { randomInt } from 'node:crypto';
import { resolve } from 'node:path';
import { imageHash } from '../controller/images';
import { type PinBoard, readPins } from '../controller/pin-table';
import { imageFile, type StandImage, standImage } from '../controller/stand-image';
import { RealClock } from '../stand/clock';
import { BOARDS } from '../stand/codes';
import { shownName } from '../stand/serial/words';
import { readStandFile } from './files';
import { askWho, hex, wrongImageWords } from './right-image';
import { type Call, MachineError, usageComplaint, type Verb } from './verb';

/** Boot loader of the usual carrier boards, as avrdude calls it; bits a second of both. */
const LOADERS: Record<PinBoard['board'], string> = { reference: 'wiring', small: 'arduino' };
const LOADER_BAUD = 115_200;

export const flash: Verb = {
  summary: 'Says how to flash the controller, and checks which image is on it.',
  usage: 'flash --port PORT (--board reference|small | --stand FILE) [--check] [--json]',
  help: [
    '--port PORT   the serial port of the board; "wholeturn ports" lists them',
    '--board       reference (ATmega2560) or small (ATmega328P): prints the avrdude command for it',
    '--stand FILE  the same for the board and the pins of a stand; an image of its own is first built by',
    '              npm run build -- --stand FILE',
    '--check       asks the controller which image it runs and compares it with the one of this version, or of the stand',
  ],
  options: {
    port: { type: 'string' },
    board: { type: 'string' },
    stand: { type: 'string' },
    check: { type: 'boolean' },
  },
  positionals: [0, 0],
  async run(call: Call): Promise<number> {
    const { port, stand: standFile, check } = call.values;
    if (typeof port !== 'string' || port === '') throw usageComplaint('Name the port of the board: --port PORT.');
    const image = wantedImage(call);
    if (check === true) return checkImage(call, port, image);
    if (image === null)
      throw usageComplaint(
        'Say which board it is: --board reference (ATmega2560) or --board small (ATmega328P), or --stand FILE with "board:" in it.',
      );
    const named = typeof standFile === 'string' ? standFile : null;
    const args = flashArguments(image, port, named);
    if (call.json) call.out(`${JSON.stringify({ program: 'avrdude', arguments: args })}\n`);
    else call.out(flashPage(image, ['avrdude', ...args], port, named));
    return 0;
  },
};

/** Of the board that was named, or of the stand; null where neither says which board. Throws InputError. */
function wantedImage({ values }: Call): StandImage | null {
  const { board, stand: standFile } = values;
  const named = board === undefined ? undefined : readPins().find((one) => one.board === board)?.board;
  if (board !== undefined && named === undefined)
    throw usageComplaint('There is no such board: --board reference (ATmega2560) or --board small (ATmega328P).');
  const stand = typeof standFile === 'string' ? readStandFile(standFile) : null;
  const of = stand?.board ?? named;
  if (named !== undefined && named !== of)
    throw usageComplaint(`--board ${named}, but ${standFile} says "board: ${of}". Leave --board out.`);
  return of === undefined ? null : standImage(of, stand?.pins);
}

/** What avrdude is called with. Throws InputError for a port that is no plain path, MachineError where there is no whole image. */
function flashArguments(image: StandImage, port: string, standFile: string | null): string[] {
  if (shownName(port, 200) !== port || port.startsWith('-')) throw usageComplaint('That is no name of a serial port.');
  const { board, chip } = image.board;
  let file: string;
  try {
    file = resolve(imageFile(image, standFile ?? ''));
  } catch (error) {
    throw new MachineError((error as Error).message);
  }
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
    `flash:w:${file}:i`,
  ];
}

function flashPage(image: StandImage, command: readonly string[], port: string, standFile: string | null): string {
  const { own, turned, board } = image;
  const check = [
    'wholeturn',
    'flash',
    '--check',
    '--port',
    port,
    ...(standFile === null ? [] : ['--stand', standFile]),
  ];
  return [
    `Drives without power, lap up. Then flash the ${board.chip} with avrdude (nothing was run for you):`,
    '',
    `  ${commandLine(command)}`,
    '',
    ...(own ? [`It is the image of this stand alone: it turns ${turned.join(', ')} round.`] : []),
    `Afterwards: ${commandLine(check)}`,
    '',
  ].join('\n');
}

function commandLine(words: readonly string[]): string {
  return words.map((word) => quoted(word, process.platform)).join(' ');
}

/** A word as a person may paste it into a terminal, whatever it holds. */
export function quoted(word: string, platform: NodeJS.Platform): string {
  if (/^[\w@%+=:,./-]+$/.test(word)) return word;
  return platform === 'win32' ? `"${word.replaceAll('"', '')}"` : `'${word.replaceAll("'", "'\\''")}'`;
}

/** Without an image any board will do, with the one of this version. */
async function checkImage(call: Call, path: string, image: StandImage | null): Promise<number> {
  const line = { clock: new RealClock(), linkId: randomInt(1, 0x4000), path };
  const identity = await askWho(line).catch((error: Error) => {
    throw new MachineError(error.message);
  });
  const { board, protocol, imageHash: found } = identity;
  const expected = image === null ? imageHash() : imageHash(image);
  const otherBoard = image !== null && BOARDS[image.board.code] !== board;
  const same = found === expected && !otherBoard;
  const told = { port: path, board, protocol, imageHash: hex(found), expected: hex(expected), same };
  if (call.json) call.out(`${JSON.stringify(told)}\n`);
  else
    call.out(
      `${shownName(path, 120)}: ${board}, revision ${protocol} of the wire, image ${told.imageHash}: ${verdict()}\n`,
    );
  return same ? 0 : 2;

  function verdict(): string {
    if (otherBoard) return `another board than the ${BOARDS[image!.board.code]}. Name the one that is there.`;
    if (image?.own) return wrongImageWords(image, identity) ?? 'the one built for this stand.';
    return same ? 'the one of this version.' : `not the one of this version (${hex(expected)}). Flash it anew.`;
  }
}
