/**
 * What `new Firmata(transport)` of firmata-io takes for a port: standard messages only, so that a stock client and the segment
 * link share one line without seeing each other. Pass it before `open` is called: a johnny-five Board that misses the event
 * never becomes ready.
 */
import { EventEmitter } from 'node:events';

/** The half of a line that carries whole standard messages; SegmentLink is one. */
export interface FirmataLine {
  onFirmata(listener: (message: Uint8Array) => void): () => void;
  writeFirmata(message: Uint8Array): void;
}

export class FirmataTransport extends EventEmitter {
  private stopListening: (() => void) | undefined;

  constructor(private readonly line: FirmataLine) {
    super();
  }

  open(): void {
    this.stopListening = this.line.onFirmata((message) => this.hand(message));
    this.emit('open');
  }

  /** As serialport has it: the callback comes later, never from inside the call. */
  write(bytes: Uint8Array, done?: () => void): void {
    this.line.writeFirmata(Uint8Array.from(bytes));
    if (done !== undefined) queueMicrotask(done);
  }

  close(): void {
    this.stopListening?.();
    this.stopListening = undefined;
    this.emit('close');
  }

  /** A client throws out of its data handler on some odd messages; that must not reach the link that shares the line. */
  private hand(message: Uint8Array): void {
    try {
      this.emit('data', message);
    } catch (error) {
      if (this.listenerCount('error') > 0) this.emit('error', error);
    }
  }
}
