/**
 * Whether the image on a controller is the one for its stand. A stand whose file turns pins round is looked at before run control gets the
 * port: with another image the drives may be on as soon as they have current.
 */
import type { Stand } from '../../planner/stand/types';
import { imageHash } from '../controller/images';
import { type StandImage, standImage } from '../controller/stand-image';
import type { HostClock } from '../stand/clock';
import type { Ports } from '../stand/serial/port';
import { SerialLink } from '../stand/serial/serial-link';
import type { StandIdentity } from '../stand/stand-link';

export interface Line {
  path: string;
  /** Where a link is opened next, that one's number: then what the controller tells of the link before these two stays what it was. */
  linkId: number;
  clock: HostClock;
  ports?: Ports;
}

/** Nothing is moved by asking who is there; these only have to be allowed. */
const OPEN = { rampMs: 500, hostSilentMs: 500, liftTimeoutMs: 3000, enableDelayMs: 200 };

/** Opens the port, asks who is there and closes it. Rejects with words for a person. */
export async function askWho(line: Line): Promise<StandIdentity> {
  const link = new SerialLink({ ...line, expected: null });
  try {
    return await link.open(OPEN);
  } finally {
    await link.close();
  }
}

export function hex(hash: number): string {
  return hash.toString(16).padStart(8, '0');
}

const PIN_MEANS: readonly [RegExp, string][] = [
  [/^enable$/, 'the drives may be on when they should be off, from the moment they have current'],
  [/^step\./, 'a step comes when none is meant, so places are wrong'],
  [/^direction\./, 'an axis goes the other way'],
  [/^index$|Reference$/, 'a mark is told everywhere but at its place, so no place is found'],
];

/** Why the controller that answered is not to be used with an image of its own; null where it carries that image. */
export function wrongImageWords(image: StandImage, { board, imageHash: found }: StandIdentity): string | null {
  const expected = imageHash(image);
  if (found === expected) return null;
  const { turned } = image;
  const carries = found === imageHash() ? 'the standard image' : `an image that is not known here (${hex(found)})`;
  const means = PIN_MEANS.filter(([which]) => turned.some((signal) => which.test(signal))).map(([, words]) => words);
  return (
    `The ${board} carries ${carries}, not the one built for this stand (${hex(expected)}), whose file turns ${turned.join(', ')} round. ` +
    `With it ${means.join('; ')}. Take the power from the motors (emergency stop), then put the right one on: ` +
    'npm run build -- --stand FILE, and wholeturn flash --port PORT --stand FILE.'
  );
}

/** Looks only where the stand has an image of its own. Rejects with words for a person; nothing has moved then. */
export async function requireOwnImage({ board, pins }: Stand, line: Line): Promise<void> {
  const image = board && standImage(board, pins);
  if (!image?.own) return;
  const words = wrongImageWords(image, await askWho(line));
  if (words !== null) throw new Error(words);
}
