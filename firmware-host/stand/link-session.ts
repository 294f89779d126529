/**
 * One open link as a state machine without timers or ports: frames and the time go in, bytes to send and events come out.
 * Sequenced commands go through the outbox; `ease` and the heartbeat stand outside it, so nothing ever queues before them.
 */
import { encodeToStand } from '../wire/frame';
import { type OpenedFrame, type RefusedFrame, type StatusFrame, TO_STAND, type ToHost } from '../wire/frame-table';
import { Outbox, type SequencedFrame } from '../wire/outbox';
import { REASONS, refusalWords } from './codes';
import { widenNear } from './numbering';
import type { StandStatus, StreamPlace } from './stand-link';
import { StatusReader } from './status';

export type LinkEvent =
  | { kind: 'status'; status: StandStatus }
  | { kind: 'refused'; words: string }
  | { kind: 'flushed'; place: StreamPlace }
  | { kind: 'flushRefused'; words: string }
  | { kind: 'lost'; words: string };

/** Valid frames that were dropped, by reason. */
export interface SessionCounters {
  /** Carried another link's number. */
  link: number;
  /** An old or repeated report, or one that acknowledges what was never sent. */
  sequence: number;
  /** A known frame at a moment when nothing asked for it. */
  unexpected: number;
}

/** Sent again when not acknowledged for this long: twice the controller's report interval. */
const RESEND_SECONDS = 0.08;
const EASE_REPEAT_SECONDS = 0.02;
const HEARTBEAT_SECONDS = 0.1;
const SILENCE_SECONDS = 1;
const STUCK_SECONDS = 3;
/** How long the answer to a flush may come after its acknowledgement. */
const ANSWER_SECONDS = 0.1;
/** New reports in a row that acknowledge what was never sent: the stand counts from 0 again. */
const STRANGE_REPORTS = 3;
/** Segments under way at most (24 ms of a line of 250,000 baud): more would only make commands queue behind them. */
const MAX_SEGMENTS_HELD = 56;
/** Parcels at most: no more can be told apart by their sequence numbers with room to spare. */
const MAX_PARCELS = 100;

interface Flush {
  seq: number;
  /** The place that stood, as soon as it is known. */
  place: StreamPlace | undefined;
  /** Set once it was acknowledged and only the place is missing. */
  giveUpAt: number | undefined;
  /** Segments begun before the numbers started anew. */
  begun: number | undefined;
}

export class LinkSession {
  readonly counters: SessionCounters = { link: 0, sequence: 0, unexpected: 0 };
  /** The stand has begun this link anew without being asked: of the place it now tells for it nothing is known. */
  begunAnew = false;
  private readonly outbox: Outbox;
  private readonly reader: StatusReader;
  private ringFree: number;
  private easing = false;
  private easeDue = Number.POSITIVE_INFINITY;
  private heartbeatDue = 0;
  private lastHeard: number;
  private lastProgress: number;
  private resentAt: number;
  private silent = false;
  private ended = false;
  /** Counts of SPEC section 3 that let the controller refuse a pace which an ease or a rest has overtaken. */
  private eases = 0;
  private rests = 0;
  private standErrors = 0;
  private strangeReports = 0;
  private rewoundAt: number | undefined;
  private flush: Flush | undefined;
  /** Where the last report saw the walk at rest, unless it was told to go on since. */
  private restPlace: StreamPlace | undefined = { segment: -1, ticksLeft: 0 };

  constructor(
    private readonly linkId: number,
    private readonly opened: OpenedFrame,
    now: number,
  ) {
    this.outbox = new Outbox(linkId);
    this.reader = new StatusReader(opened.paceLevels, opened.tickTensOfHz * 10);
    this.ringFree = opened.ringSize;
    this.lastHeard = now;
    this.lastProgress = now;
    this.resentAt = now;
  }

  /** Frames that had to be sent again. */
  get sentAgain(): number {
    return this.outbox.sentAgain;
  }

  room(): number {
    if (this.flush !== undefined || this.ended) return 0;
    return Math.max(0, Math.min(this.ringFree, MAX_SEGMENTS_HELD) - this.outbox.segmentsHeld);
  }

  push(segments: Uint8Array): void {
    this.outbox.addSegments(segments);
  }

  /** False where the line has not taken commands for so long that no more can wait. */
  command(frame: SequencedFrame): boolean {
    if (this.outbox.length >= MAX_PARCELS) return false;
    const parcel = this.outbox.add(frame);
    if (frame.name === 'flush')
      this.flush = { seq: parcel.seq, place: undefined, giveUpAt: undefined, begun: undefined };
    return true;
  }

  /** Target 0..1 of full pace; anything above 0 is at least the lowest level. False as for `command`. */
  pace(target: number): boolean {
    const level = Math.round(Math.min(1, Math.max(0, target)) * this.opened.paceLevels);
    if (target > 0) {
      this.easing = false;
      this.restPlace = undefined;
    }
    const lowest = target > 0 ? 1 : 0;
    return this.command({ name: 'pace', target: Math.max(lowest, level), rests: this.rests, eases: this.eases });
  }

  ease(now: number): void {
    this.eases = (this.eases + 1) & 0xff;
    this.easing = true;
    this.easeDue = now;
  }

  /** What is due to be written now, until undefined. `life` is the application's counter. */
  next(now: number, life: number): Uint8Array | undefined {
    if (this.ended) return undefined;
    if (this.easing && now >= this.easeDue) {
      this.easeDue = Number.POSITIVE_INFINITY;
      return encodeToStand({ name: 'ease', eases: this.eases }, this.linkId, 0);
    }
    if (now >= this.heartbeatDue) {
      this.heartbeatDue = now + HEARTBEAT_SECONDS;
      return encodeToStand({ name: 'heartbeat', counter: life & 0xffff }, this.linkId, 0);
    }
    if (this.outbox.unacknowledged === 0) this.resentAt = now;
    if (this.outbox.length === 0) this.lastProgress = now;
    return this.outbox.take();
  }

  /** To be called some dozens of times a second: sends again, repeats, notices silence. */
  beat(now: number): LinkEvent[] {
    if (this.outbox.unacknowledged > 0 && now - this.resentAt >= RESEND_SECONDS) {
      this.outbox.rewind();
      this.resentAt = now;
    }
    if (this.flush?.giveUpAt !== undefined && now >= this.flush.giveUpAt) return this.endFlush();
    if (this.ended) return [];
    if (now - this.lastHeard >= SILENCE_SECONDS) {
      if (this.silent) return [];
      this.silent = true;
      return [{ kind: 'lost', words: `Nothing was heard from the stand for ${SILENCE_SECONDS} s.` }];
    }
    if (now - this.lastProgress < STUCK_SECONDS) return [];
    return this.end(`The stand has acknowledged nothing for ${STUCK_SECONDS} s. Connect to it anew.`);
  }

  receive(frame: ToHost, now: number): LinkEvent[] {
    if (frame.name === 'status' && frame.bootId !== this.opened.bootId)
      return this.end('The controller has restarted.');
    if (frame.link !== this.linkId && !this.isFarewell(frame)) {
      this.counters.link++;
      return [];
    }
    switch (frame.name) {
      case 'opened':
        return [];
      case 'refused':
        return this.refused(frame);
      case 'flushed':
        if (this.flush === undefined) {
          this.counters.unexpected++;
          return [];
        }
        this.flush.place = {
          segment: widenNear(this.flush.begun ?? this.reader.segmentsBegun, frame.segmentsBegun) - 1,
          ticksLeft: frame.ticksLeft,
        };
        return this.flush.giveUpAt === undefined ? [] : this.endFlush();
      case 'status':
        return this.status(frame, now);
    }
  }

  private end(words: string): LinkEvent[] {
    if (this.ended) return [];
    this.ended = true;
    return [{ kind: 'lost', words }];
  }

  /** A report under link 0 of a controller whose open reports were read before: it has ended this link. */
  private isFarewell(frame: ToHost): boolean {
    return frame.name === 'status' && frame.link === 0 && this.reader.hasRead && !this.reader.isStale(frame);
  }

  private refused(frame: RefusedFrame): LinkEvent[] {
    const words = refusalWords(frame);
    if (frame.reason === REASONS.stale) return [];
    if (frame.refusedType !== TO_STAND.flush.type || this.flush === undefined) return [{ kind: 'refused', words }];
    this.flush = undefined;
    return [{ kind: 'flushRefused', words }];
  }

  private status(frame: StatusFrame, now: number): LinkEvent[] {
    const farewell = frame.link === 0;
    const done = this.reader.isStale(frame) ? undefined : farewell ? [] : this.outbox.acknowledge(frame.seqExpected);
    if (done === undefined) {
      // Nor is it a sign of life: an old report may be repeated for ever.
      this.counters.sequence++;
      if (this.reader.isStale(frame) || ++this.strangeReports < STRANGE_REPORTS) return [];
      this.begunAnew = true;
      return this.end('An old frame has opened the link a second time.');
    }
    this.strangeReports = 0;
    this.lastHeard = now;
    this.silent = false;
    if (done.length > 0) {
      this.lastProgress = now;
      this.resentAt = now;
      this.rewoundAt = undefined;
    }
    const events: LinkEvent[] = [];
    if (done.some((parcel) => parcel.seq === this.flush?.seq)) events.push(...this.flushAcknowledged(frame, now));
    this.ringFree = frame.ringFree;
    const status = this.reader.read(frame);
    this.rests = frame.restsReached;
    this.restPlace = status.atRest ? status.place : undefined;
    events.push({ kind: 'status', status });
    this.resendIfDamaged(frame, done.length > 0);
    if (frame.paceTarget > 0 && this.easing) this.easeDue = Math.min(this.easeDue, now + EASE_REPEAT_SECONDS);
    if (farewell) events.push(...this.end('The controller has ended the link.'));
    return events;
  }

  /** The acknowledgement tells by itself what became of a flush: its refusal or its answer may have been lost on the line. */
  private flushAcknowledged(frame: StatusFrame, now: number): LinkEvent[] {
    const { flush } = this;
    if (flush === undefined) return [];
    if (frame.segmentsAccepted !== 0) {
      this.flush = undefined;
      return [{ kind: 'flushRefused', words: 'The stand refused to empty the queue.' }];
    }
    flush.place ??= this.restPlace;
    flush.begun = this.reader.segmentsBegun;
    this.reader.restartNumbers();
    flush.giveUpAt = now + ANSWER_SECONDS;
    return flush.place === undefined ? [] : this.endFlush();
  }

  private endFlush(): LinkEvent[] {
    const place = this.flush?.place;
    this.flush = undefined;
    if (place !== undefined) return [{ kind: 'flushed', place }];
    return [{ kind: 'flushRefused', words: 'The queue was emptied, but the line lost the place that stood.' }];
  }

  /** A frame lost on the way shows in the controller's counters before the time-out; once per frame that is waited for. */
  private resendIfDamaged(frame: StatusFrame, progress: boolean): void {
    const errors =
      frame.crcErrors + frame.lengthErrors + frame.sequenceErrors + frame.abortedErrors + frame.overrunErrors;
    const damaged = errors !== this.standErrors;
    this.standErrors = errors;
    if (!damaged || progress || this.rewoundAt === this.outbox.base) return;
    this.rewoundAt = this.outbox.base;
    this.outbox.rewind();
  }
}
