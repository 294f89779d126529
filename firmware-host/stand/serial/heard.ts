/**
 * What was heard on a line while a controller of ours was waited for, and what it means. Whatever answers Firmata is asked for its
 * name, so that a board with another program on it can be named.
 */
import { shownName } from './words';

const FIRMWARE_REPORT = 0x79;
const VERSION_REPORT = 0xf9;
/** As it stands in the controller's core. */
const OUR_NAME = 'Wholeturn';

/** Asks any Firmata firmware for its version and its name. */
export const WHO_ARE_YOU = Uint8Array.of(VERSION_REPORT, 0xf0, FIRMWARE_REPORT, 0xf7);

export class Heard {
  name: string | null = null;
  private speaksFirmata = false;

  /** A whole standard message. */
  firmata(message: Uint8Array): void {
    if (message[0] === VERSION_REPORT) this.speaksFirmata = true;
    if (message[0] !== 0xf0 || message[1] !== FIRMWARE_REPORT || message.length < 5) return;
    this.speaksFirmata = true;
    const letters: number[] = [];
    for (let at = 4; at + 1 < message.length; at += 2) letters.push(message[at]! | (message[at + 1]! << 7));
    const version = `${message[2]}.${message[3]}`;
    const name = shownName(String.fromCharCode(...letters));
    this.name = name === '' ? `firmware without a name, version ${version}` : `${name} ${version}`;
  }

  /** Somebody else's firmware answers. */
  get isOther(): boolean {
    return this.speaksFirmata && !(this.name?.startsWith(OUR_NAME) ?? false);
  }

  /** Why no link opened, where that can be told from what was heard; `bytes` came in all. */
  words(path: string, bytes: number): string | null {
    const port = shownName(path, 120);
    if (this.isOther)
      return `The board on ${port} runs other firmware (${this.name ?? 'it speaks Firmata'}). Flash the controller image: wholeturn flash --port ${port} tells how.`;
    if (this.name !== null) return null;
    if (bytes === 0)
      return `Nothing answers on ${port}. Is the controller powered, is this its port, and is the controller image on it?`;
    return `Something answers on ${port}, but nothing that can be read: another device, another program on the board, or a bad cable.`;
  }
}
