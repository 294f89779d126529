/**
 * The line of a campaign's host: what it carries can be damaged (FaultyPipe), held up, or joined by frames of somebody else; and
 * it ends with its host, without a word, as a line does when a process is killed.
 */
import type { BytePipe } from '../../firmware-host/stand/byte-pipe';
import type { HostClock } from '../../firmware-host/stand/clock';
import { type Fault, FaultyPipe } from '../support/faulty-pipe';
import { seeded } from '../support/random';

/** How long what was sent before stays known, to be sent once more by "insertion". */
const REMEMBERED = 64;

export class CampaignLine implements BytePipe {
  private faulty: FaultyPipe | null = null;
  private dead = false;
  private delaySeconds = 0;
  private echoes = false;
  private cut: { way: 'toStand' | 'toHost'; bytes: number } | null = null;
  private onBytesHere: (bytes: Uint8Array) => void = () => {};
  private readonly sent: Uint8Array[] = [];

  constructor(
    private readonly inner: BytePipe,
    private readonly clock: HostClock,
  ) {
    inner.onBytes((bytes) => this.arrive(bytes));
  }

  write(all: Uint8Array): void {
    const bytes = this.left('toStand', all);
    if (this.dead || bytes.length === 0) return;
    this.sent.push(bytes);
    if (this.sent.length > REMEMBERED) this.sent.shift();
    const way = this.faulty ?? this.inner;
    if (this.delaySeconds === 0) way.write(bytes);
    else this.clock.after(this.delaySeconds, () => way.write(bytes));
    if (this.echoes) {
      const echo = bytes.slice();
      this.clock.after(0.001, () => this.deliver(echo));
    }
  }

  onBytes(listener: (bytes: Uint8Array) => void): void {
    this.onBytesHere = listener;
  }

  onClose(listener: (words: string) => void): void {
    this.inner.onClose((words) => {
      if (!this.dead) listener(words);
    });
  }

  close(): Promise<void> {
    return this.dead ? Promise.resolve() : this.inner.close();
  }

  /** The host at this end is gone; the other end does not hear of it. */
  die(): void {
    this.dead = true;
  }

  /** Damages what it carries both ways until `mend`. */
  damage(seed: number, faults: readonly Fault[], share: number): void {
    const through: BytePipe = { ...this.innerOnly(), onBytes: (listener) => this.through(listener) };
    this.faulty = new FaultyPipe(through, { seed, faults, toStand: share, toHost: share });
    this.faulty.on = true;
    this.faulty.onBytes((bytes) => this.deliver(bytes));
  }

  /** After so many more bytes one way nothing goes through either way. */
  cutAfter(bytes: number, way: 'toStand' | 'toHost'): void {
    this.cut = { way, bytes };
  }

  get isCut(): boolean {
    return this.cut?.bytes === 0;
  }

  private left(way: 'toStand' | 'toHost', bytes: Uint8Array): Uint8Array {
    const { cut } = this;
    if (cut === null) return bytes;
    if (cut.bytes === 0) return bytes.subarray(0, 0);
    if (cut.way !== way) return bytes;
    const through = bytes.subarray(0, cut.bytes);
    cut.bytes -= through.length;
    return through;
  }

  delay(seconds: number): void {
    this.delaySeconds = seconds;
  }

  /** Each end also hears itself. */
  echo(on: boolean): void {
    this.echoes = on;
  }

  mend(): void {
    this.cut = null;
    this.faulty = null;
    this.delaySeconds = 0;
  }

  /** Bytes of somebody else on the same line. */
  insert(bytes: Uint8Array): void {
    if (!this.dead) this.inner.write(bytes.slice());
  }

  /** One of the frames sent a while ago, once more. */
  repeatOld(seed: number): void {
    const old = this.sent[Math.floor(seeded(seed)() * this.sent.length)];
    if (old !== undefined) this.insert(old);
  }

  private damaged: (bytes: Uint8Array) => void = () => {};

  private through(listener: (bytes: Uint8Array) => void): void {
    this.damaged = listener;
  }

  private innerOnly(): BytePipe {
    return {
      write: (bytes) => this.inner.write(bytes),
      onBytes: () => {},
      onClose: () => {},
      close: () => this.inner.close(),
    };
  }

  private arrive(all: Uint8Array): void {
    const bytes = this.left('toHost', all);
    if (this.dead || bytes.length === 0) return;
    if (this.faulty !== null) this.damaged(bytes);
    else if (this.delaySeconds === 0) {
      this.deliver(bytes);
      if (this.echoes) this.insert(bytes);
    } else {
      const late = bytes.slice();
      this.clock.after(this.delaySeconds, () => this.deliver(late));
    }
  }

  private deliver(bytes: Uint8Array): void {
    if (!this.dead) this.onBytesHere(bytes);
  }
}
