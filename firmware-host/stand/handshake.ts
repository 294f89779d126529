/** Opening a link as a state machine: asks again until the controller answers, and says in words what came instead. */
import { encodeToStand } from '../wire/frame';
import { type OpenedFrame, TO_STAND, type ToHost } from '../wire/frame-table';
import { BOARDS, BOOT_CAUSES, refusalWords, SMALL_BOARD } from './codes';
import { widenNear } from './numbering';
import type { OpenOptions, StandIdentity } from './stand-link';

/** The revision of the wire this host speaks. */
export const PROTOCOL = 1;
const RETRY_SECONDS = 0.3;
/** A board that was reset by opening its port sits in its boot-loader for one to two seconds. */
const TIMEOUT_SECONDS = 5;

/** Nobody answered at all, or not as a controller of ours does. */
export class NoAnswer extends Error {
  override readonly name = 'NoAnswer';
}

/** What this host knows of the link that the new one replaces. */
export interface LinkBefore {
  linkId: number;
  segmentsBegun: number;
}

export class Handshake {
  private readonly giveUpAt: number;
  private retryAt: number;
  private refusal: string | undefined;

  constructor(
    readonly linkId: number,
    private readonly options: OpenOptions,
    now: number,
  ) {
    this.retryAt = now;
    this.giveUpAt = now + TIMEOUT_SECONDS;
  }

  /** What is due to be written now. */
  next(now: number): Uint8Array | undefined {
    if (now < this.retryAt) return undefined;
    this.retryAt = now + RETRY_SECONDS;
    return encodeToStand({ name: 'open', proposedLink: this.linkId, ...this.options }, 0, 0);
  }

  /** Why there is no use in waiting any longer. */
  failure(now: number): Error | undefined {
    if (now < this.giveUpAt) return undefined;
    const late = `The stand did not open within ${TIMEOUT_SECONDS} s.`;
    if (this.refusal !== undefined) return new Error(`${late} ${this.refusal}`);
    return new NoAnswer(`${late} Nothing answered; is it powered, plugged in, and flashed with the controller image?`);
  }

  /** The answer to this handshake, or an Error where the stand answers but cannot be used; undefined for anything else. */
  receive(frame: ToHost): OpenedFrame | Error | undefined {
    if (frame.name === 'refused' && frame.refusedType === TO_STAND.open.type) this.refusal = refusalWords(frame);
    if (frame.name !== 'opened' || frame.link !== this.linkId) return undefined;
    if (frame.protocol === PROTOCOL) return frame;
    const cure = frame.protocol < PROTOCOL ? 'Flash the controller image of this version.' : 'Update this program.';
    return new Error(`The stand speaks revision ${frame.protocol} of the wire, this program ${PROTOCOL}. ${cure}`);
  }
}

/** `words` and `virtual` say what the stand is called; the rest the controller told. */
export function identityOf(
  opened: OpenedFrame,
  named: { words: string; virtual: boolean },
  before: LinkBefore,
): StandIdentity {
  const segment = widenNear(before.segmentsBegun, opened.segmentsBegunBefore) - 1;
  return {
    words: named.words,
    virtual: named.virtual,
    protocol: opened.protocol,
    bootId: opened.bootId,
    bootCause: BOOT_CAUSES[opened.bootCause] ?? 'power',
    board: BOARDS[opened.board] ?? `board ${opened.board}`,
    axes: opened.axes,
    tickHz: opened.tickTensOfHz * 10,
    imageHash: opened.imageHash,
    fewInputs: opened.board === SMALL_BOARD,
    before:
      before.linkId !== 0 && opened.linkBefore === before.linkId
        ? { segment, ticksLeft: opened.ticksLeftBefore }
        : null,
    link: opened.link,
    found: {
      link: opened.linkBefore,
      segmentsBegun: opened.segmentsBegunBefore,
      ticksLeft: opened.ticksLeftBefore,
    },
  };
}
