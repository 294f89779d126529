/**
 * The StandLink over a serial port. Opening it opens the port; after a loss it opens the port anew. Standard Firmata messages of the
 * same line go on to stock clients through ../firmata-transport.ts, as on every other line.
 */
import { SEGMENT_BYTES } from '../../../planner/steps/segment';
import { imageHash } from '../../controller/images';
import { VIRTUAL_BOARD } from '../codes';
import { NoAnswer } from '../handshake';
import { SegmentLink, type SegmentLinkOptions } from '../segment-link';
import type { OpenOptions, StandIdentity } from '../stand-link';
import { Heard, WHO_ARE_YOU } from './heard';
import { BAUD, machinePorts, openPort, type Port, type Ports } from './port';
import { SerialPipe } from './serial-pipe';
import { shownName } from './words';

export interface SerialLinkOptions extends Pick<SegmentLinkOptions, 'clock' | 'linkId'> {
  path: string;
  /** What the stand's file says; a controller that is another is refused. Null where any will do. */
  expected: { virtual: boolean; tickHz: number } | null;
  /** The image hash that the controller of this stand should tell; that of the images kept here when left out. */
  expectedImage?: number;
  /** Bit of each axis whose motor turns the other way. */
  reversedAxes?: number;
  ports?: Ports;
}

/** A controller of ours answers the first frame that reaches it; whoever takes longer is asked for a name as well. */
const ASK_NAME_SECONDS = 1;
/** Speeds at which stock Firmata firmware is usually built, and how long it is listened to at each. */
const OTHER_BAUDS = [57_600, 115_200];
const OTHER_BAUD_SECONDS = 1.2;

/** Place of the directions in a segment (SPEC 1). */
const DIRECTIONS_AT = 2;

export class SerialLink extends SegmentLink {
  private port: Port | undefined;
  private line: SerialPipe | undefined;
  private heard = new Heard();
  private hasOpened = false;

  constructor(private readonly serial: SerialLinkOptions) {
    super({ clock: serial.clock, linkId: serial.linkId, words: '', virtual: false });
    this.onFirmata((message) => this.heard.firmata(message));
  }

  /**
   * Rejects with words for a person: no such port, held, not allowed, nothing or somebody else answers, another protocol, another
   * kind of stand than the one described.
   */
  override async open(options: OpenOptions): Promise<StandIdentity> {
    const line = await this.plugIn();
    this.heard = new Heard();
    const lost = new Promise<never>((_, reject) => line.onClose((words) => reject(new Error(words))));
    const stopAsking = this.askForName(line);
    try {
      const identity = await Promise.race([super.open(options), lost]);
      this.hasOpened = true;
      const found = { ...identity, ...this.named(identity) };
      const unlike = this.unlike(found);
      if (unlike !== null) throw new Error(unlike);
      return found;
    } catch (error) {
      if (!(error instanceof NoAnswer)) throw error;
      if (!this.hasOpened) await this.listenAtOtherSpeeds(line);
      throw new Error(this.heard.words(this.serial.path, line.received) ?? error.message);
    } finally {
      stopAsking();
    }
  }

  override push(segments: Uint8Array): void {
    const { reversedAxes = 0 } = this.serial;
    const wired = segments.slice();
    for (let at = DIRECTIONS_AT; at < wired.length; at += SEGMENT_BYTES) wired[at]! ^= reversedAxes;
    super.push(wired);
  }

  private async plugIn(): Promise<SerialPipe> {
    if (this.line?.isOpen) return this.line;
    this.port = await openPort(this.serial.path, this.serial.ports ?? machinePorts);
    this.line = new SerialPipe(this.port);
    this.attach(this.line);
    return this.line;
  }

  private askForName(line: SerialPipe): () => void {
    const { clock } = this.serial;
    let cancel = (): void => {};
    const ask = (): void => {
      cancel = clock.after(ASK_NAME_SECONDS, () => {
        line.write(WHO_ARE_YOU);
        ask();
      });
    };
    ask();
    return () => cancel();
  }

  private async listenAtOtherSpeeds(line: SerialPipe): Promise<void> {
    for (const baudRate of OTHER_BAUDS) {
      if (this.heard.isOther || !(await this.setSpeed(baudRate))) break;
      line.write(WHO_ARE_YOU);
      await new Promise<void>((resolve) => this.serial.clock.after(OTHER_BAUD_SECONDS, resolve));
    }
    await this.setSpeed(BAUD);
  }

  private setSpeed(baudRate: number): Promise<boolean> {
    return new Promise((resolve) => {
      if (this.port?.isOpen) this.port.update({ baudRate }, (error) => resolve(error === null));
      else resolve(false);
    });
  }

  private named({ board, imageHash: hash }: StandIdentity): Pick<StandIdentity, 'words' | 'virtual'> {
    const other =
      hash === (this.serial.expectedImage ?? imageHash())
        ? ''
        : ', with another controller image than the one for this stand and version';
    return {
      words: `Stand on ${shownName(this.serial.path, 120)} (${board}${other})`,
      virtual: board === VIRTUAL_BOARD,
    };
  }

  /** Why the controller cannot be the one of the stand's file. */
  private unlike({ virtual, tickHz }: StandIdentity): string | null {
    const { path, expected } = this.serial;
    if (expected === null) return null;
    const kind = (isVirtual: boolean): string => (isVirtual ? 'a virtual stand' : 'a stand of iron');
    if (virtual !== expected.virtual)
      return `${shownName(path, 120)} leads to ${kind(virtual)}, but the stand file describes ${kind(expected.virtual)}. Name the stand file that belongs to it.`;
    if (tickHz === expected.tickHz) return null;
    return `The controller ticks at ${tickHz} Hz, the stand file says ${expected.tickHz} Hz: speeds would be wrong. Correct the stand file.`;
  }
}
