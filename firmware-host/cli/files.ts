/** Reads the files a verb is given: the program, and the shelf and stand it is planned with. */
import { existsSync, readFileSync, statSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { readProgram } from '../../planner/program/read-program';
import type { Complaint, Program } from '../../planner/program/types';
import { readShelf } from '../../planner/shelf/read-shelf';
import type { Shelf } from '../../planner/shelf/types';
import { readStand } from '../../planner/stand/read-stand';
import type { Stand } from '../../planner/stand/types';
import { type Call, InputError, MachineError } from './verb';

const EXAMPLES = join(__dirname, '..', '..', 'planner', 'examples');
/** No program of 20,000 turns needs more; whatever is larger is another kind of file. */
const LARGEST_BYTES = 1_000_000;

/** Options that every verb with a program takes. */
export const PROGRAM_OPTIONS = { shelf: { type: 'string' }, stand: { type: 'string' } } as const;
export const PROGRAM_HELP = [
  'PROGRAM       a stroke program (YAML), e.g. planner/examples/raised-ring.yaml',
  '--shelf FILE  glasses, laps and slurries; otherwise shelf.yaml beside the program, else the demo shelf',
  '--stand FILE  the stand; otherwise stand.yaml beside the program, else the demo stand, which is virtual',
] as const;

export interface ProgramFiles {
  program: Program;
  programText: string;
  shelf: Shelf;
  shelfFile: string;
  stand: Stand;
  standFile: string;
}

/** A person's text file. Throws InputError for what is no text, MachineError where the disc does not give it. */
export function readText(file: string, what: string): string {
  const complain = (message: string): InputError => new InputError([{ file, line: 1, column: 1, field: '', message }]);
  const found = statSync(file, { throwIfNoEntry: false });
  if (found === undefined) throw complain(`There is no such file. Name ${what}; examples lie in planner/examples.`);
  if (found.isDirectory()) throw complain(`This is a folder. Name ${what} in it.`);
  if (!found.isFile()) throw complain(`This is not a plain file. Name ${what}.`);
  if (found.size > LARGEST_BYTES) throw complain(`This is far too large (${found.size} bytes) for ${what}.`);
  let bytes: Buffer;
  try {
    bytes = readFileSync(file);
  } catch (error) {
    throw new MachineError(`${file} cannot be read (${(error as Error).message}).`);
  }
  if (bytes.length === 0) throw complain(`The file is empty. Write ${what}; examples lie in planner/examples.`);
  try {
    const text = new TextDecoder('utf-8', { fatal: true }).decode(bytes);
    if (!text.includes('\0')) return text;
  } catch {
    // Told below, together with text that has zero bytes in it.
  }
  throw complain(`This is not text (UTF-8). Name ${what}, saved as plain text.`);
}

/** Throws InputError where something in it is to be put right. */
export function readStandFile(file: string): Stand {
  const { stand, complaints } = readStand(readText(file, 'a stand'), file);
  if (stand === null) throw new InputError(complaints);
  return stand;
}

/** A file beside the one a person named, or else the demo's. */
export function beside(program: string, name: string): string {
  const file = join(dirname(program), name);
  return existsSync(file) ? file : join(EXAMPLES, name);
}

/** Reads all three; complaints about any of them come together. Throws InputError. */
export function readProgramFiles({ positionals, values }: Call): ProgramFiles {
  const programFile = positionals[0]!;
  const shelfFile = typeof values.shelf === 'string' ? values.shelf : beside(programFile, 'shelf.yaml');
  const standFile = typeof values.stand === 'string' ? values.stand : beside(programFile, 'stand.yaml');
  const programText = readText(programFile, 'a stroke program');
  const complaints: Complaint[] = [];
  const shelf = readShelf(readText(shelfFile, 'a shelf'), shelfFile);
  const stand = readStand(readText(standFile, 'a stand'), standFile);
  complaints.push(...shelf.complaints, ...stand.complaints);
  if (shelf.shelf === null || stand.stand === null) throw new InputError(complaints);
  const read = readProgram(programText, programFile, shelf.shelf);
  if (read.program === null) throw new InputError(read.complaints);
  return { program: read.program, programText, shelf: shelf.shelf, shelfFile, stand: stand.stand, standFile };
}
