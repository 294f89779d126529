/** A line of bytes to a stand and back: a serial port, an emulated chip, the virtual stand. The seam at which links are faked. */
export interface BytePipe {
  /** Takes all of it, in order; the array is the pipe's to keep. Bytes written after the end are dropped. */
  write(bytes: Uint8Array): void;
  /** One listener; the array is valid during the call only. */
  onBytes(listener: (bytes: Uint8Array) => void): void;
  /** One listener, called once when the line is gone, with a person's words for why. */
  onClose(listener: (words: string) => void): void;
  close(): Promise<void>;
}
