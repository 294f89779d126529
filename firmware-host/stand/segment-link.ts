/**
 * The StandLink over a line of bytes: opens the link, gives the session its time and its bytes, and tells listeners what came of
 * it. Standard Firmata messages of the same line are handed out whole and untouched.
 */
import { SEGMENT_BYTES } from '../../planner/steps/segment';
import type { ToHost } from '../wire/frame-table';
import type { SequencedFrame } from '../wire/outbox';
import type { BytePipe } from './byte-pipe';
import type { HostClock } from './clock';
import { INPUT_BITS } from './codes';
import { FrameLine, type LineCounters } from './frame-line';
import { Handshake, identityOf, type LinkBefore } from './handshake';
import { type LinkEvent, LinkSession, type SessionCounters } from './link-session';
import { Listeners } from './listeners';
import type {
  LineTally,
  OpenOptions,
  SeekRequest,
  StandIdentity,
  StandInputs,
  StandLink,
  StandStatus,
  StreamPlace,
} from './stand-link';

/** Everything received and dropped, by reason; all zero on a healthy line. */
export type HostCounters = LineCounters & SessionCounters;

export interface SegmentLinkOptions {
  clock: HostClock;
  /** Number of the first link, 1..16383; best drawn at random, so that frames of another host or of an earlier link are told apart. */
  linkId: number;
  /** What the stand is called, e.g. "Virtual stand (WebAssembly core)". */
  words: string;
  virtual: boolean;
}

const LINK_IDS = 0x3fff;
const BEAT_SECONDS = 0.025;

interface Promised<T> {
  resolve(value: T): void;
  reject(error: Error): void;
}

const LINE_STUCK = 'The line to the stand takes no more commands; it has acknowledged none for a while.';

export class SegmentLink implements StandLink {
  private readonly frames = new FrameLine({
    frame: (frame) => this.frame(frame),
    closed: (words) => this.lost(words),
  });
  /** 0 before the first link was open. */
  private linkId = 0;
  private nextLinkId: number;
  private segmentsBegun = 0;
  /** Of the sessions that are over. */
  private readonly dropped: SessionCounters = { link: 0, sequence: 0, unexpected: 0 };
  private session: LinkSession | undefined;
  private sentAgainBefore = 0;
  private opening: (Promised<StandIdentity> & { handshake: Handshake; before: LinkBefore }) | undefined;
  private flushing: Promised<StreamPlace> | undefined;
  private life = 0;
  private cancelBeat: () => void;
  private readonly statusListeners = new Listeners<StandStatus>();
  private readonly refusedListeners = new Listeners<string>();
  private readonly lostListeners = new Listeners<string>();

  constructor(private readonly options: SegmentLinkOptions) {
    this.nextLinkId = options.linkId;
    this.cancelBeat = options.clock.after(BEAT_SECONDS, () => this.beat());
  }

  /** Takes the line to use from now on: the first, or another after the one before was lost. */
  attach(pipe: BytePipe): void {
    this.frames.attach(pipe);
  }

  counters(): HostCounters {
    return { ...this.frames.counters, ...added(this.dropped, this.session?.counters) };
  }

  tally(): LineTally {
    const { crc, length, aborted, oversize } = this.frames.counters;
    return {
      damaged: crc + length + aborted + oversize,
      sentAgain: this.sentAgainBefore + (this.session?.sentAgain ?? 0),
    };
  }

  open(options: OpenOptions): Promise<StandIdentity> {
    this.opening?.reject(new Error('The link was opened anew before the stand had answered.'));
    if (this.session?.begunAnew) this.linkId = 0;
    this.closeSession();
    const before = { linkId: this.linkId, segmentsBegun: this.segmentsBegun };
    const handshake = new Handshake(this.nextLinkId, options, this.options.clock.now());
    this.nextLinkId = (this.nextLinkId % LINK_IDS) + 1;
    return new Promise((resolve, reject) => {
      this.opening = { resolve, reject, handshake, before };
      this.send();
    });
  }

  room(): number {
    return this.session?.room() ?? 0;
  }

  push(segments: Uint8Array): void {
    if (segments.length % SEGMENT_BYTES !== 0 || segments.length > this.room() * SEGMENT_BYTES) {
      throw new RangeError(`${segments.length} bytes pushed where there is room for ${this.room()} segments of 8`);
    }
    this.session?.push(segments);
    this.send();
  }

  pace(target: number): void {
    if (this.session?.pace(target) === false) this.refusedListeners.tell(LINE_STUCK);
    this.send();
  }

  ease(): void {
    this.session?.ease(this.options.clock.now());
    this.send();
  }

  drives(on: boolean): void {
    this.command({ name: 'drives', on: on ? 1 : 0 });
  }

  lift(direction: 'up' | 'down'): void {
    this.command({ name: 'lift', up: direction === 'up' ? 1 : 0 });
  }

  seek(request: SeekRequest | null): void {
    let mask = 0;
    let levels = 0;
    for (const [name, level] of Object.entries(request?.inputs ?? {}) as [keyof StandInputs, boolean][]) {
      mask |= INPUT_BITS[name];
      if (level) levels |= INPUT_BITS[name];
    }
    this.command({ name: 'seek', mask, levels, on: request === null ? 0 : 1 });
  }

  flush(): Promise<StreamPlace> {
    if (this.session === undefined) return Promise.reject(new Error('The stand is not connected.'));
    if (this.flushing !== undefined) return Promise.reject(new Error('The queue is being emptied already.'));
    return new Promise((resolve, reject) => {
      this.flushing = { resolve, reject };
      this.command({ name: 'flush' });
    });
  }

  clear(): void {
    this.command({ name: 'clear' });
  }

  alive(): void {
    this.life++;
  }

  onStatus(listener: (status: StandStatus) => void): () => void {
    return this.statusListeners.add(listener);
  }

  onRefused(listener: (words: string) => void): () => void {
    return this.refusedListeners.add(listener);
  }

  onLost(listener: (words: string) => void): () => void {
    return this.lostListeners.add(listener);
  }

  /** Whole standard Firmata messages from the controller. */
  onFirmata(listener: (message: Uint8Array) => void): () => void {
    return this.frames.onFirmata(listener);
  }

  /** One whole standard Firmata message to the controller. */
  writeFirmata(message: Uint8Array): void {
    this.frames.writeFirmata(message);
  }

  async close(): Promise<void> {
    this.cancelBeat();
    if (this.session !== undefined) {
      this.session.ease(this.options.clock.now());
      this.send();
    }
    this.opening?.reject(new Error('The link was closed.'));
    this.opening = undefined;
    this.closeSession();
    await this.frames.close();
  }

  private command(frame: SequencedFrame): void {
    if (this.session?.command(frame) === false) this.refusedListeners.tell(LINE_STUCK);
    this.send();
  }

  private frame(frame: ToHost): void {
    const now = this.options.clock.now();
    if (this.opening !== undefined) this.answerToOpen(frame, now);
    else if (this.session !== undefined) this.settle(this.session.receive(frame, now));
    else if (frame.name !== 'status') this.dropped.unexpected++;
    this.send();
  }

  private answerToOpen(frame: ToHost, now: number): void {
    const answer = this.opening?.handshake.receive(frame);
    if (this.opening === undefined || answer === undefined) return;
    const { opening } = this;
    this.opening = undefined;
    if (answer instanceof Error) {
      opening.reject(answer);
      return;
    }
    this.linkId = opening.handshake.linkId;
    this.segmentsBegun = 0;
    this.session = new LinkSession(this.linkId, answer, now);
    opening.resolve(identityOf(answer, this.options, opening.before));
  }

  private beat(): void {
    const { clock } = this.options;
    this.cancelBeat = clock.after(BEAT_SECONDS, () => this.beat());
    const failure = this.opening?.handshake.failure(clock.now());
    if (failure !== undefined) {
      this.opening?.reject(failure);
      this.opening = undefined;
    }
    if (this.session !== undefined) this.settle(this.session.beat(clock.now()));
    this.send();
  }

  private send(): void {
    if (!this.frames.isAttached) return;
    const now = this.options.clock.now();
    const asking = this.opening?.handshake.next(now);
    if (asking !== undefined) this.frames.write(asking);
    for (let wire = this.session?.next(now, this.life); wire !== undefined; wire = this.session?.next(now, this.life)) {
      this.frames.write(wire);
    }
  }

  private settle(events: LinkEvent[]): void {
    for (const event of events) {
      if (event.kind === 'status') this.status(event.status);
      else if (event.kind === 'refused') this.refusedListeners.tell(event.words);
      else if (event.kind === 'lost') this.lost(event.words);
      else {
        const { flushing } = this;
        this.flushing = undefined;
        if (event.kind === 'flushed') flushing?.resolve(event.place);
        else flushing?.reject(new Error(event.words));
      }
    }
  }

  private status(status: StandStatus): void {
    this.segmentsBegun = status.place.segment + 1;
    this.statusListeners.tell(status);
  }

  private lost(words: string): void {
    this.flushing?.reject(new Error(words));
    this.flushing = undefined;
    this.lostListeners.tell(words);
  }

  private closeSession(): void {
    Object.assign(this.dropped, added(this.dropped, this.session?.counters));
    this.sentAgainBefore += this.session?.sentAgain ?? 0;
    this.session = undefined;
    this.flushing?.reject(new Error('The link was closed.'));
    this.flushing = undefined;
  }
}

function added(a: SessionCounters, b: SessionCounters = { link: 0, sequence: 0, unexpected: 0 }): SessionCounters {
  return { link: a.link + b.link, sequence: a.sequence + b.sequence, unexpected: a.unexpected + b.unexpected };
}
