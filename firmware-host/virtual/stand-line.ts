import type { BytePipe } from '../stand/byte-pipe';

/** One plugged-in line: what the host holds of the stand. */
export class StandLine implements BytePipe {
  private open = true;
  private bytesListener: (bytes: Uint8Array) => void = () => {};
  private closeListener: (words: string) => void = () => {};

  constructor(private readonly toBoard: (bytes: Uint8Array) => void) {}

  write(bytes: Uint8Array): void {
    if (this.open) this.toBoard(bytes);
  }

  onBytes(listener: (bytes: Uint8Array) => void): void {
    this.bytesListener = listener;
  }

  onClose(listener: (words: string) => void): void {
    this.closeListener = listener;
  }

  async close(): Promise<void> {
    this.open = false;
  }

  deliver(bytes: Uint8Array): void {
    if (this.open) this.bytesListener(bytes);
  }

  end(words: string): void {
    if (!this.open) return;
    this.open = false;
    this.closeListener(words);
  }
}
