/**
 * Cuts the controller's byte stream into whole messages: frames of ours on one side, standard Firmata messages on the other.
 * Nothing is handed on in part, so a byte lost on the line costs one message and never shifts the next one: a stock Firmata
 * parser would take the first two bytes of a sysex as the data of a message that was cut short before it.
 */
import { MAX_TO_HOST_BYTES, SYSEX_END, SYSEX_ID, SYSEX_START } from './frame';
import { packedLength } from './packing';

/** Ways the stream itself can fail, counted by name. */
export interface StreamCounters {
  /** A message ended unread because a status byte came inside it. */
  aborted: number;
  /** A sysex longer than any that may come; dropped whole. */
  oversize: number;
  /** Bytes outside any message. */
  stray: number;
}

export interface SplitterSink {
  /** Wire bytes between id and end of one frame of ours; valid during the call only. */
  frame(packed: Uint8Array, length: number): void;
  /** One whole standard message; the array is the receiver's to keep. */
  firmata(message: Uint8Array): void;
}

const MAX_PACKED_BYTES = packedLength(MAX_TO_HOST_BYTES);
/** The longest standard reply is the capability list: about 1,200 bytes for 70 pins. */
const MAX_FIRMATA_BYTES = 4096;

/** Data bytes that follow a status byte; undefined where Firmata has no such message from a board. */
function dataBytesAfter(status: number): number | undefined {
  if (status === 0xf9) return 2;
  if (status >= 0xf0) return undefined;
  return (status & 0xf0) === 0xe0 || (status & 0xf0) === 0x90 ? 2 : undefined;
}

type State = 'outside' | 'fixed' | 'sysexId' | 'frame' | 'firmataSysex' | 'oversize';

export class StreamSplitter {
  private state: State = 'outside';
  private wanted = 0;
  private length = 0;
  private readonly held = new Uint8Array(MAX_FIRMATA_BYTES);

  /** Counts on in `counters`. */
  constructor(
    private readonly sink: SplitterSink,
    readonly counters: StreamCounters = { aborted: 0, oversize: 0, stray: 0 },
  ) {}

  feed(bytes: Uint8Array): void {
    for (const byte of bytes) {
      if (byte >= 0x80) this.statusByte(byte);
      else this.dataByte(byte);
    }
  }

  private statusByte(byte: number): void {
    if (byte === SYSEX_END && this.state !== 'outside' && this.state !== 'fixed') {
      this.endOfSysex();
      return;
    }
    if (this.state !== 'outside') this.counters.aborted++;
    this.state = 'outside';
    if (byte === SYSEX_START) {
      this.state = 'sysexId';
      return;
    }
    const wanted = dataBytesAfter(byte);
    if (wanted === undefined) {
      this.counters.stray++;
      return;
    }
    this.state = 'fixed';
    this.held[0] = byte;
    this.length = 1;
    this.wanted = wanted;
  }

  private dataByte(byte: number): void {
    switch (this.state) {
      case 'outside':
        this.counters.stray++;
        return;
      case 'sysexId':
        this.length = 0;
        if (byte === SYSEX_ID) this.state = 'frame';
        else {
          this.state = 'firmataSysex';
          this.held[0] = SYSEX_START;
          this.held[1] = byte;
          this.length = 2;
        }
        return;
      case 'fixed':
        this.held[this.length++] = byte;
        if (--this.wanted > 0) return;
        this.state = 'outside';
        this.sink.firmata(this.held.slice(0, this.length));
        return;
      case 'frame':
      case 'firmataSysex':
        // One place is kept for the closing byte of a Firmata sysex.
        if (this.length < (this.state === 'frame' ? MAX_PACKED_BYTES : MAX_FIRMATA_BYTES - 1))
          this.held[this.length++] = byte;
        else {
          this.counters.oversize++;
          this.state = 'oversize';
        }
        return;
      case 'oversize':
    }
  }

  private endOfSysex(): void {
    const { state } = this;
    this.state = 'outside';
    if (state === 'frame') this.sink.frame(this.held, this.length);
    else if (state === 'firmataSysex') {
      this.held[this.length++] = SYSEX_END;
      this.sink.firmata(this.held.slice(0, this.length));
    }
  }
}
