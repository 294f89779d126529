/** The plan as a file: its text and its name, and whether the host takes it from a page. */
import type { Program } from '../../planner/program/types';
import { writeProgram } from '../../planner/program/write-program';
import type { Shelf } from '../../planner/shelf/types';
import type { LengthUnit } from '../words';

/** The host takes no longer ones from a page (firmware-host/server/requests.ts). */
export const LARGEST_PROGRAM_BYTES = 12_000;

export function programText(program: Program, shelf: Shelf, lengths: LengthUnit): string {
  return writeProgram(program, { shelf, lengths });
}

export function fileName(title: string): string {
  const name = title
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '');
  return `${name.slice(0, 60) || 'program'}.yaml`;
}

/** Why a text cannot be sent, or null. */
export function sendTrouble(text: string): string | null {
  const bytes = new TextEncoder().encode(text).length;
  return bytes <= LARGEST_PROGRAM_BYTES
    ? null
    : `This program is ${bytes} bytes long; ${LARGEST_PROGRAM_BYTES} at most can be sent from a page. Save it as a file and start the host with it.`;
}

/** Unfinished work may be kept, but not as a file that nothing opens any more. */
export function unsavedWords(wrong: readonly string[]): string {
  return `Not saved: the file could not be opened again. Mend this first; this tab keeps the plan meanwhile. ${wrong.join(' ')}`;
}
