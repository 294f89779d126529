/** A pretended table: a workbench, a line with latency, a person who answers, and time of its own. */
import type { PinBoard } from '../../firmware-host/controller/pin-table';
import { concat } from '../support/segments';
import { type Port, TICK_HZ } from '../wire/conformance/port';
import type { Bench } from './bench';
import { Workbench } from './workbench';

const SLICE_TICKS = 20;
/** Nobody waits longer, of the table's own time. */
const MOST_SECONDS = 1500;

/** A person who does all they are told by hand, and has no instrument. */
export function willing(words: string, before: string): string | undefined {
  if (!/press enter/i.test(words)) return undefined;
  const isReading = before.split('\n').slice(-3).join().includes('Expected: ');
  return isReading && words.includes('to begin') ? 'no' : '';
}

interface Parcel {
  due: number;
  bytes: Uint8Array;
}

export interface TableOptions {
  /** A freshly booted board. */
  board: () => Port;
  pins: PinBoard['board'];
  /** One way; from the board and to it. */
  latencySeconds?: number;
  /** False: nothing resets the board but its button. */
  resets?: boolean;
  /** What the person types when told this; undefined where they wait. */
  answers(words: string, shownBefore: string): string | undefined;
  /** Whether the person's hands do it. */
  obeys?: (words: string) => boolean;
  /** Called when words are shown. */
  shows?: (words: string, table: Table) => void;
}

export class Table implements Bench {
  shown = '';
  /** Set by tests: thrown at the next exchange, and at every later one where it is to last. */
  trouble: { error: Error; lasts: boolean } | null = null;
  readonly bench: Workbench;
  private ticks = 0;
  private readonly lines: string[] = [];
  private toBoard: Parcel[] = [];
  private toHost: Parcel[] = [];

  constructor(private readonly options: TableOptions) {
    this.bench = new Workbench(options.board, options.pins);
  }

  exchange(bytes: Uint8Array, seconds: number): Uint8Array {
    const { latencySeconds = 0 } = this.options;
    const latency = Math.round(latencySeconds * TICK_HZ);
    if (bytes.length > 0) this.toBoard.push({ due: this.ticks + latency, bytes });
    for (const end = this.ticks + Math.ceil(seconds * TICK_HZ); this.ticks < end; ) {
      for (const parcel of due(this.toBoard, this.ticks)) this.bench.write(parcel);
      const ticks = Math.min(SLICE_TICKS, end - this.ticks);
      this.bench.run(ticks);
      this.ticks += ticks;
      for (const said of this.bench.said.splice(0)) this.toHost.push({ due: this.ticks + latency, bytes: said });
    }
    if (this.now() > MOST_SECONDS) throw new Error(`still at it after ${MOST_SECONDS} s: ${this.shown.slice(-600)}`);
    const { trouble } = this;
    if (trouble !== null) {
      if (!trouble.lasts) this.trouble = null;
      throw trouble.error;
    }
    return concat(due(this.toHost, this.ticks));
  }

  now(): number {
    return this.ticks / TICK_HZ;
  }

  reset(): boolean {
    if (this.options.resets === false) return false;
    this.toBoard = [];
    this.toHost = [];
    this.bench.reboot();
    return true;
  }

  tell(words: string): void {
    const { answers, obeys, shows } = this.options;
    const before = this.shown;
    this.shown += words;
    if (obeys?.(words) ?? true) this.bench.obey(words);
    const answer = answers(words, before);
    if (answer !== undefined) this.lines.push(answer);
    shows?.(words, this);
  }

  typed(): string | undefined {
    return this.lines.shift();
  }
}

/** Takes out what has arrived by then. */
function due(parcels: Parcel[], ticks: number): Uint8Array[] {
  const arrived = parcels.filter((parcel) => parcel.due <= ticks);
  parcels.splice(0, arrived.length);
  return arrived.map(({ bytes }) => bytes);
}
