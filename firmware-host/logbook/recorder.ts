/** Keeps a run in the logbook straight from the thread it is conducted in. For rehearsals; a run on iron is recorded from another thread. */
import type { Program } from '../../planner/program/types';
import type { Stand } from '../../planner/stand/types';
import type { RunRecorder } from '../run/recorder';
import type { RunReport } from '../run/types';
import { giveUpLeftOpen } from './left-open';
import type { Checkpoint, EventKind, Logbook, NewRun } from './logbook';

export type RunDescription = Omit<NewRun, 'id' | 'startedMs' | 'air'>;

/** What the logbook keeps of a run before it begins. */
export function describeRun(
  { program, programText, stand }: { program: Program; programText: string; stand: Stand },
  planned: { turns: number; durationSeconds: number },
  { virtual, kind }: Pick<RunDescription, 'virtual' | 'kind'>,
): RunDescription {
  return {
    virtual,
    kind,
    title: program.title,
    programFile: program.file,
    programText,
    recipe: { glass: program.glass, lap: program.lap, slurry: program.slurry },
    stand: stand.name,
    plannedTurns: planned.turns,
    plannedSeconds: planned.durationSeconds,
  };
}

/**
 * Places closer together than this share a commit. On iron they never are but by chance; a rehearsal in a hurry has hundreds a
 * second, and each commit waits for the disc.
 */
const SHARED_COMMIT_MS = 200;

type Row = () => void;

/**
 * Rows go into the logbook in the order they came. One that cannot be written is kept, with all that follow, and tried again with
 * the next: a disc that was full for a while costs nothing. The call that fails throws all the same, so that somebody hears of it.
 */
export class LogbookRecorder implements RunRecorder {
  private waiting: Checkpoint[] = [];
  private committedMs = Number.NEGATIVE_INFINITY;
  private turnsKept = 0;
  private endsKept = 0;
  private readonly unwritten: Row[] = [];

  constructor(
    private readonly logbook: Logbook,
    private readonly description: RunDescription,
    /** Wall clock, milliseconds since 1970. */
    private readonly nowMs: () => number,
  ) {}

  begin(runId: string, _atTurns: number, air: boolean): void {
    const { logbook, description } = this;
    const startedMs = this.nowMs();
    this.write(() => {
      // With the lap up nothing happens to the glass: what was cut short before can still be gone on with.
      if (!air) giveUpLeftOpen(logbook, description.virtual, runId);
      if (logbook.run(runId) !== null) logbook.reopenRun(runId);
      else logbook.beginRun({ ...description, air, id: runId, startedMs });
    });
  }

  checkpoint(runId: string, seen: Omit<Checkpoint, 'atMs'>): void {
    const atMs = this.nowMs();
    this.waiting.push({ ...seen, atMs });
    // Only places on the way wait for one another: what it came to rest at may be the last for a long time, and of a new end
    // nothing else tells.
    const ends = seen.mark?.ends.length ?? 0;
    const onTheWay = seen.state === 'Execute' && this.turnsKept > 0 && ends === this.endsKept;
    this.endsKept = ends;
    if (!onTheWay || Math.abs(atMs - this.committedMs) >= SHARED_COMMIT_MS) this.commit(runId, atMs);
  }

  event(runId: string | null, kind: EventKind, turnsWalked: number | null, words: string): void {
    const { virtual } = this.description;
    const atMs = this.nowMs();
    this.write(() => this.logbook.event({ run: runId, virtual, atMs, turnsWalked, kind, words }));
  }

  end(runId: string, report: RunReport): void {
    const atMs = this.nowMs();
    this.commit(runId, atMs);
    this.write(() => this.logbook.endRun(runId, atMs, report));
  }

  private commit(runId: string, atMs: number): void {
    const places = this.waiting;
    this.waiting = [];
    this.committedMs = atMs;
    this.turnsKept = places.at(-1)?.turnsWalked ?? this.turnsKept;
    if (places.length > 0) this.write(() => this.logbook.checkpoint(runId, ...places));
  }

  private write(row: Row): void {
    this.unwritten.push(row);
    this.flush();
  }

  /** Tries again what could not be written before; throws where it still cannot. */
  flush(): void {
    while (this.unwritten.length > 0) {
      this.unwritten[0]!();
      this.unwritten.shift();
    }
  }
}

/** Names a run by the minute it began and two random bytes. */
export function runIdAt(nowMs: number, random16: number): string {
  const minute = new Date(nowMs).toISOString().slice(0, 16).replace('T', '-').replace(':', '');
  return `${minute}-${random16.toString(16).padStart(4, '0')}`;
}
