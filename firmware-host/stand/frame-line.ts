/** A line of bytes as frames: what comes is cut, decoded and counted; standard Firmata messages of the same line go by untouched. */
import { decodeToHost, type FrameFailure } from '../wire/frame';
import type { ToHost } from '../wire/frame-table';
import { type StreamCounters, StreamSplitter } from '../wire/splitter';
import type { BytePipe } from './byte-pipe';
import type { FirmataLine } from './firmata-transport';
import { Listeners } from './listeners';

/** Bytes and frames that were dropped, by reason. */
export type LineCounters = StreamCounters & Record<FrameFailure, number>;

export interface FrameListener {
  frame(frame: ToHost): void;
  closed(words: string): void;
}

export class FrameLine implements FirmataLine {
  readonly counters: LineCounters = { aborted: 0, oversize: 0, stray: 0, crc: 0, length: 0, type: 0 };
  private pipe: BytePipe | undefined;
  private readonly firmataListeners = new Listeners<Uint8Array>();

  constructor(private readonly listener: FrameListener) {}

  /** Takes the pipe to use from now on; the one before is no longer listened to. */
  attach(pipe: BytePipe): void {
    this.pipe = pipe;
    const splitter = new StreamSplitter(
      {
        frame: (packed, length) => this.decode(packed, length),
        firmata: (message) => this.firmataListeners.tell(message),
      },
      this.counters,
    );
    pipe.onBytes((bytes) => {
      if (this.pipe === pipe) splitter.feed(bytes);
    });
    pipe.onClose((words) => {
      if (this.pipe === pipe) this.listener.closed(words);
    });
  }

  /** False before the first pipe. */
  get isAttached(): boolean {
    return this.pipe !== undefined;
  }

  write(bytes: Uint8Array): void {
    this.pipe?.write(bytes);
  }

  onFirmata(listener: (message: Uint8Array) => void): () => void {
    return this.firmataListeners.add(listener);
  }

  writeFirmata(message: Uint8Array): void {
    this.write(message);
  }

  async close(): Promise<void> {
    await this.pipe?.close();
  }

  private decode(packed: Uint8Array, length: number): void {
    const frame = decodeToHost(packed, length);
    if (typeof frame === 'string') this.counters[frame]++;
    else this.listener.frame(frame);
  }
}
