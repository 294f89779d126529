/**
 * Which image belongs on the board of a stand, without running a compiler: the one kept in images/, or, where its file turns pins
 * round (`pins`), one of its own that `npm run build -- --stand FILE` puts beside the stand file.
 */
import { createHash } from 'node:crypto';
import { existsSync, readFileSync } from 'node:fs';
import { join, parse } from 'node:path';
import type { Stand } from '../../planner/stand/types';
import {
  avrTarget,
  IMAGES,
  type ImageTarget,
  type Manifest,
  readManifest,
  sha256,
  sourceHash,
  TARGETS,
} from './images';
import { type Pin, type PinBoard, pinHeader, readPins, withOwnPins } from './pin-table';

export interface StandImage {
  /** The table of its pins, as the image has them. */
  board: PinBoard;
  target: ImageTarget;
  /** True: not the one kept in images/. */
  own: boolean;
  /** Pins that are otherwise than the table of the board says. */
  turned: string[];
  /** SHA-256 of what it is made of; the first 32 bits are the image hash of SPEC 4. */
  sources: string;
}

/** Name of the header of a stand's own pins; none of avr/ is called so. */
export const OWN_HEADER = 'pins_of_stand.h';

/** Only for a stand whose file names its board. Levels that are those of the table make no other image. */
export function standImage(name: PinBoard['board'], own: Stand['pins'] = {}): StandImage {
  const table = readPins().find(({ board }) => board === name)!;
  const board = withOwnPins(table, own);
  const stateOf = (pin: Pin): string => (pin.kind === 'output' ? pin.on : pin.kind === 'input' ? pin.asserted : '');
  const turned = board.pins.filter((pin, i) => stateOf(pin) !== stateOf(table.pins[i]!)).map(({ signal }) => signal);
  if (turned.length === 0) {
    const target = TARGETS.find((one) => one.board === name)!;
    return { board, target, own: false, turned, sources: readManifest().sources };
  }
  const header = pinHeader(board);
  const target = avrTarget(name, board.chip.toLowerCase(), OWN_HEADER);
  const sources = createHash('sha256').update(sourceHash()).update(`\n${OWN_HEADER}\n`).update(header).digest('hex');
  return { board, target, own: true, turned, sources };
}

/** Where the own image of the stand of a file is built to and flashed from. */
export function ownImageFolder(standFile: string): string {
  const { dir, name } = parse(standFile);
  return join(dir, `${name}-image`);
}

/**
 * Path of an image that is whole and belongs to the stand of a file. Throws with words for a person: none was built, it was built for
 * other pins or by another version, or it is damaged.
 */
export function imageFile({ own, target, sources }: StandImage, standFile: string): string {
  const folder = own ? ownImageFolder(standFile) : IMAGES;
  const file = join(folder, target.file);
  const build = `Build it: npm run build -- --stand ${standFile}`;
  if (own && !existsSync(join(folder, 'manifest.json')))
    throw new Error(
      `${standFile} turns pins round, and the image with these pins is not there yet (${file}). ${build}`,
    );
  let manifest: Manifest;
  let digest: string;
  try {
    manifest = readManifest(folder);
    digest = sha256(readFileSync(file));
  } catch (error) {
    throw new Error(`${file} cannot be used (${(error as Error).message}). ${own ? build : 'Get it anew.'}`);
  }
  if (own && manifest.sources !== sources)
    throw new Error(`${file} was built for other pins, or from another version of the controller's code. ${build}`);
  if (manifest.images.find((one) => one.file === target.file)?.sha256 === digest) return file;
  throw new Error(
    `${file} is not the image its manifest speaks of; do not flash this one. ${own ? build : 'Get it anew.'}`,
  );
}
