/** Which run this is, how long it takes, and what of it is handed to the recorder when. */
import type { EventKind } from '../logbook/logbook';
import type { HostClock } from '../stand/clock';
import type { StandIdentity, StandStatus } from '../stand/stand-link';
import type { RunRecorder } from './recorder';
import { axisCounts } from './snapshot';
import type { RunReport, RunState } from './types';
import type { Walker } from './walker';

/** A place is kept every turn, and at least this often while it walks. */
export const CHECKPOINT_SECONDS = 5;

/** In these it stays where it is until a person says otherwise. */
const RESTS: ReadonlySet<RunState> = new Set<RunState>(['Held', 'Suspended', 'Stopped', 'Aborted', 'Idle', 'Complete']);

export class RunBook {
  private keptSeconds = 0;
  /** -1: no place on the way was kept yet. */
  private keptTurns = -1;
  /** When the walk first began, and when it last ended; null: not yet. */
  private begunSeconds: number | null = null;
  private endedSeconds: number | null = null;

  constructor(
    private readonly recorder: RunRecorder,
    private readonly clock: HostClock,
    private readonly walker: Walker,
    private readonly newRunId: () => string,
    private readonly identity: () => StandIdentity,
    /** Of a run that was interrupted in an earlier launch. */
    public runId: string | null,
  ) {}

  /** Seconds from the first step to the last, pauses included. */
  get durationSeconds(): number {
    return this.begunSeconds === null ? 0 : (this.endedSeconds ?? this.clock.now()) - this.begunSeconds;
  }

  /** A start: another run, unless the one that stood is gone on with. */
  begin(anew: boolean, air: boolean): void {
    if (anew || this.runId === null) {
      this.runId = this.newRunId();
      this.begunSeconds = null;
    }
    this.recorder.begin(this.runId, anew ? 0 : this.walker.turnsWalked, air);
  }

  /** Another state was entered. */
  entered(from: RunState, state: RunState, status: StandStatus): void {
    if (state === 'Execute') {
      this.begunSeconds ??= this.clock.now();
      this.endedSeconds = null;
    } else if (from === 'Execute') this.endedSeconds = this.clock.now();
    // Before the stand is told to walk there is a row to go on from.
    if (this.begunSeconds !== null || state === 'Starting') this.keepPlace(state, status);
  }

  /** Keeps the place if a turn or 5 s went by. */
  keepPlaceIfDue(state: RunState, status: StandStatus): void {
    // A run that is cut short before its first five seconds are over is gone on with as well.
    const first = this.keptTurns < 0 && this.walker.turnsWalked > 0;
    const due = first || this.clock.now() - this.keptSeconds >= CHECKPOINT_SECONDS;
    if (due || Math.floor(this.walker.turnsWalked) > this.keptTurns) this.keepPlace(state, status);
  }

  note(kind: EventKind, words: string): void {
    this.recorder.event(this.runId, kind, this.runId === null ? null : this.walker.turnsWalked, words);
  }

  end(report: RunReport): void {
    if (this.runId !== null) this.recorder.end(this.runId, report);
  }

  /** Where it is now, with what tells a later host how to read the controller's count. */
  keepPlace(state: RunState, status: StandStatus): void {
    const { walker, runId } = this;
    if (runId === null) return;
    const { mark } = walker;
    this.recorder.checkpoint(runId, {
      state,
      turnsWalked: walker.turnsWalked,
      steps: axisCounts(walker.steps),
      pace: status.pace,
      lift: status.lift,
      bootId: status.bootId,
      mark: mark && { ...mark, bootId: status.bootId, link: this.identity().link },
      doubtTurns: RESTS.has(state) ? walker.doubtTurns : null,
    });
    this.keptSeconds = this.clock.now();
    this.keptTurns = walker.turnsWalked > 0 ? Math.floor(walker.turnsWalked) : -1;
  }
}
