/**
 * Sequenced frames on their way: a pure go-back-N sender. Frames leave in order, stay until a cumulative acknowledgement
 * covers them, and are all sent again after a `rewind`. The controller runs each sequence number once, so sending again is
 * always harmless.
 */
import { SEGMENT_BYTES } from '../../planner/steps/segment';
import { encodeToStand, SEGMENTS_PER_FRAME } from './frame';
import type { Headless, ToStand } from './frame-table';

type Sequenced = 'segments' | 'pace' | 'drives' | 'lift' | 'seek' | 'flush' | 'clear';
export type SequencedFrame = Headless<Extract<ToStand, { name: Sequenced }>>;

export interface Parcel {
  readonly seq: number;
  frame: SequencedFrame;
  sent: boolean;
}

/** The controller takes a number within the 64 before the expected one for a repeat; half of that leaves no doubt (SPEC section 4). */
const MAX_UNACKNOWLEDGED = 32;

export class Outbox {
  /** Unacknowledged parcels by sequence number; the first `inFlight` of them were sent since the last rewind. */
  private readonly parcels: Parcel[] = [];
  private inFlight = 0;
  private nextSeq = 0;
  private segmentBytes = 0;
  /** Frames that left once more. */
  sentAgain = 0;

  /** `link` goes into every header. */
  constructor(private readonly link: number) {}

  /** Segments waiting or under way, not yet acknowledged. */
  get segmentsHeld(): number {
    return this.segmentBytes / SEGMENT_BYTES;
  }

  get unacknowledged(): number {
    return this.inFlight;
  }

  /** Frames waiting or under way. */
  get length(): number {
    return this.parcels.length;
  }

  /** The oldest number not yet acknowledged. */
  get base(): number {
    return this.parcels[0]?.seq ?? this.nextSeq;
  }

  add(frame: SequencedFrame): Parcel {
    const parcel: Parcel = { seq: this.nextSeq, frame, sent: false };
    this.nextSeq = (this.nextSeq + 1) & 0xff;
    this.parcels.push(parcel);
    return parcel;
  }

  /** Whole segments, cut into frames; a frame that has not left yet is filled up first. */
  addSegments(segments: Uint8Array): void {
    this.segmentBytes += segments.length;
    const frameBytes = SEGMENTS_PER_FRAME * SEGMENT_BYTES;
    let at = 0;
    const tail = this.parcels.at(-1);
    if (tail?.frame.name === 'segments' && !tail.sent && tail.frame.segments.length < frameBytes) {
      const before = tail.frame.segments;
      at = Math.min(segments.length, frameBytes - before.length);
      const filled = new Uint8Array(before.length + at);
      filled.set(before);
      filled.set(segments.subarray(0, at), before.length);
      tail.frame = { name: 'segments', segments: filled };
    }
    for (; at < segments.length; at += frameBytes) {
      this.add({ name: 'segments', segments: segments.slice(at, at + frameBytes) });
    }
  }

  /** The wire bytes of the next frame to send, unless there is none or 32 are unacknowledged. */
  take(): Uint8Array | undefined {
    const parcel = this.parcels[this.inFlight];
    if (parcel === undefined || this.inFlight >= MAX_UNACKNOWLEDGED) return undefined;
    if (parcel.sent) this.sentAgain++;
    parcel.sent = true;
    this.inFlight++;
    return encodeToStand(parcel.frame, this.link, parcel.seq);
  }

  /**
   * Takes the number the controller expects next. Returns the parcels this newly acknowledges, or undefined where the number
   * is none that was sent: an old report, or not ours.
   */
  acknowledge(seqExpected: number): Parcel[] | undefined {
    const count = (seqExpected - this.base) & 0xff;
    if (count > this.parcels.length || (count > 0 && !this.parcels[count - 1]!.sent)) return undefined;
    const done = this.parcels.splice(0, count);
    for (const parcel of done) {
      if (parcel.frame.name === 'segments') this.segmentBytes -= parcel.frame.segments.length;
    }
    this.inFlight = Math.max(0, this.inFlight - count);
    return done;
  }

  /** Everything unacknowledged is to be sent again. */
  rewind(): void {
    this.inFlight = 0;
  }
}
