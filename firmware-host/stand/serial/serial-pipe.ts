/** An open serial port as a line of bytes. */
import type { BytePipe } from '../byte-pipe';
import type { Port } from './port';
import { unpluggedWords } from './words';

export class SerialPipe implements BytePipe {
  /** Bytes received since the port was opened. */
  received = 0;
  private bytesListener: (bytes: Uint8Array) => void = () => {};
  private closeListeners: ((words: string) => void)[] = [];
  private gone = false;

  constructor(private readonly port: Port) {
    port.on('data', (bytes: Uint8Array) => {
      this.received += bytes.length;
      if (!this.gone) this.bytesListener(bytes);
    });
    // A cable that is pulled shows as a close, an error, or (the other end of a pseudo-terminal) as the end of the stream.
    port.on('close', (error: Error | null | undefined) => this.end(error?.message));
    port.on('error', (error: Error) => this.end(error.message));
    port.on('end', () => this.end(undefined));
  }

  get isOpen(): boolean {
    return !this.gone;
  }

  write(bytes: Uint8Array): void {
    if (!this.gone) this.port.write(bytes);
  }

  onBytes(listener: (bytes: Uint8Array) => void): void {
    this.bytesListener = listener;
  }

  onClose(listener: (words: string) => void): void {
    this.closeListeners.push(listener);
  }

  /** What was written still goes out. */
  async close(): Promise<void> {
    if (this.gone) return;
    this.gone = true;
    await new Promise<void>((resolve) => {
      this.port.drain(() => resolve());
    });
    await this.shut();
  }

  private end(cause: string | undefined): void {
    if (this.gone) return;
    this.gone = true;
    void this.shut();
    for (const listener of this.closeListeners) listener(unpluggedWords(this.port.path, cause));
  }

  private shut(): Promise<void> {
    return new Promise((resolve) => {
      if (this.port.isOpen) this.port.close(() => resolve());
      else resolve();
    });
  }
}
