/**
 * A host of the campaign: link, conductor and logbook recorder together, on a clock that stops for it alone. Killed it is gone
 * between two instants: nothing it had set up happens any more, nothing it was about to write is written.
 */
import { interruptedRun } from '../../firmware-host/logbook/left-open';
import type { EventKind, Logbook } from '../../firmware-host/logbook/logbook';
import { LogbookRecorder } from '../../firmware-host/logbook/recorder';
import { Conductor, type Order, type OrderAnswer } from '../../firmware-host/run/conductor';
import type { RunRecorder } from '../../firmware-host/run/recorder';
import type { HostClock } from '../../firmware-host/stand/clock';
import { SegmentLink } from '../../firmware-host/stand/segment-link';
import type { FaultyStand } from './faulty-stand';
import { CampaignLine } from './line';
import type { Planned } from './world';

/** The simulation's clock, for as long as this host lives. */
class MortalClock implements HostClock {
  alive = true;

  constructor(private readonly inner: HostClock) {}

  now(): number {
    return this.inner.now();
  }

  after(seconds: number, act: () => void): () => void {
    return this.inner.after(seconds, () => {
      if (this.alive) act();
    });
  }
}

/** Rows that the recorder was told are kept. */
export interface Acknowledged {
  events: { kind: EventKind; words: string }[];
  runs: Set<string>;
}

export interface HostOptions {
  stand: FaultyStand;
  clock: HostClock;
  planned: Planned;
  logbook: Logbook;
  nowMs(): number;
  newRunId(): string;
  linkId: number;
  acknowledged: Acknowledged;
  /** Called before each row is written; may throw, or kill this host. */
  beforeRow(): void;
  /** Called after each row was written; may kill this host. */
  afterRow(): void;
}

export class Host {
  line: CampaignLine;
  conductor: Conductor | null = null;
  failure: Error | null = null;
  private readonly clock: MortalClock;
  private readonly link: SegmentLink;
  /** Rows that were handed over and not yet acknowledged. */
  private refused: Acknowledged['events'] = [];
  private kept: LogbookRecorder | null = null;

  constructor(private readonly options: HostOptions) {
    const { stand, planned, logbook } = options;
    this.clock = new MortalClock(options.clock);
    this.line = new CampaignLine(stand.pipe, this.clock);
    const { words, virtual } = stand;
    this.link = new SegmentLink({ clock: this.clock, linkId: options.linkId, words, virtual });
    this.link.attach(this.line);
    const program = { text: planned.text, virtual: true };
    Conductor.connect({
      link: this.link,
      clock: this.clock,
      plan: planned.plan,
      recorder: this.recorder(),
      newRunId: options.newRunId,
      wallMs: options.nowMs,
      // All hosts of a campaign live in one process: none of the runs found is this one's own, and nobody is at them.
      interrupted: interruptedRun(logbook, program, () => false, -1),
    }).then(
      (conductor) => {
        this.conductor = conductor;
      },
      (error: Error) => {
        this.failure = error;
      },
    );
  }

  get alive(): boolean {
    return this.clock.alive;
  }

  order(order: Order): OrderAnswer {
    return this.conductor?.order(order) ?? { ok: false, words: 'not connected' };
  }

  /** As kill -9. */
  kill(): void {
    // What the disc had refused so far nobody was told is kept.
    const { acknowledged } = this.options;
    acknowledged.events = acknowledged.events.filter((row) => !this.refused.includes(row));
    this.clock.alive = false;
    this.line.die();
  }

  /** The cable is in again. */
  plugIn(): void {
    this.line = new CampaignLine(this.options.stand.pipe, this.clock);
    this.link.attach(this.line);
  }

  /** As a program ends that is told to: what the disc did not take before is written, if it takes it now. False where it does not. */
  close(): boolean {
    let written = true;
    try {
      if (this.alive) this.kept?.flush();
    } catch {
      written = false;
    }
    this.kill();
    return written;
  }

  private recorder(): RunRecorder {
    const { logbook, planned, nowMs, acknowledged } = this.options;
    const { program, stand } = planned.plan;
    const kept = new LogbookRecorder(
      guarded(logbook, this.options.beforeRow, (name) => {
        if (name === 'event') this.refused.shift();
        this.options.afterRow();
      }),
      {
        virtual: true,
        kind: 'rehearsal',
        title: program.title,
        programFile: program.file,
        programText: planned.text,
        recipe: {},
        stand: stand.name,
        plannedTurns: planned.summary.turns,
        plannedSeconds: planned.summary.durationSeconds,
      },
      nowMs,
    );
    this.kept = kept;
    const living = (act: () => void): void => {
      if (this.alive) act();
    };
    return {
      begin: (...args) =>
        living(() => {
          kept.begin(...args);
          acknowledged.runs.add(args[0]);
        }),
      checkpoint: (...args) => living(() => kept.checkpoint(...args)),
      event: (...args) =>
        living(() => {
          const row = { kind: args[1], words: args[3] };
          acknowledged.events.push(row);
          this.refused.push(row);
          kept.event(...args);
        }),
      end: (...args) => living(() => kept.end(...args)),
    };
  }
}

const WRITES: ReadonlySet<string> = new Set(['beginRun', 'reopenRun', 'checkpoint', 'event', 'endRun', 'giveUpRun']);

/** The logbook with something that happens before and after each row. */
function guarded(logbook: Logbook, beforeRow: () => void, afterRow: (name: string) => void): Logbook {
  return new Proxy(logbook, {
    get(target, name) {
      const member = Reflect.get(target, name) as unknown;
      if (typeof member !== 'function') return member;
      return (...args: unknown[]): unknown => {
        const writes = WRITES.has(String(name));
        if (writes) beforeRow();
        const result = (member as (...all: unknown[]) => unknown).apply(target, args);
        if (writes) afterRow(String(name));
        return result;
      };
    },
  });
}
