/** Looks at the stand's reports and at the place on the path, and says what of it is news: events for the reducer. */
import type { StandStatus } from '../stand/stand-link';
import type { RunEvent } from './reducer';
import type { Silence } from './sleep-watch';
import type { Walker } from './walker';

/** Standing still for longer than this while it should walk is no matter of a report that is late. */
const STILL_SECONDS = 0.3;

export class WalkWatch {
  private stop: string | null;
  private silent: boolean;
  private restTurns = Number.NaN;
  /** Stand's clock when it was first seen at rest though it should walk. */
  private stillSince: number | null = null;

  /** `silence`: what the computer is just coming out of, if it was asleep or too busy. */
  constructor(
    private readonly walker: Walker,
    found: StandStatus,
    private readonly silence: () => Silence | null,
  ) {
    this.stop = found.latchedStop;
    this.silent = found.hostSilent;
  }

  /** A walk begins: its rests are news again. */
  begin(): void {
    this.restTurns = Number.NaN;
  }

  /** Another state was entered. */
  entered(): void {
    this.stillSince = null;
  }

  /** What the controller tells of itself. */
  chip({ latchedStop, hostSilent }: StandStatus): RunEvent[] {
    const news: RunEvent[] = [];
    if (latchedStop !== this.stop && latchedStop !== null) news.push({ kind: 'latchedStop', cause: latchedStop });
    if (hostSilent && !this.silent) news.push({ kind: 'hostSilent', silence: this.silence() });
    this.stop = latchedStop;
    this.silent = hostSilent;
    return news;
  }

  /** What the path or the index asks for, whatever the state. */
  path(): RunEvent[] {
    const { walker } = this;
    const news: RunEvent[] = [];
    const resting = walker.restingAt;
    if (resting !== null && this.restTurns !== resting.turns) {
      this.restTurns = resting.turns;
      news.push({ kind: 'plannedRest', reason: resting.reason, words: resting.words });
    }
    const { indexTrouble, trouble } = walker;
    walker.indexTrouble = null;
    if (indexTrouble !== null) news.push({ kind: 'indexOff', ...indexTrouble });
    if (trouble !== null) news.push({ kind: 'trouble', words: trouble });
    return news;
  }

  /** While it is to walk: the end, or a standstill for which neither the path nor a person gave a reason. */
  walk({ atRest, atPlannedRest, clockSeconds }: StandStatus): RunEvent | null {
    const { reached } = this.walker;
    if (reached === 'end') return { kind: 'endReached' };
    if (reached === 'turn') return { kind: 'turnEndReached' };
    if (!atRest || atPlannedRest) {
      this.stillSince = null;
      return null;
    }
    this.stillSince = Math.min(this.stillSince ?? clockSeconds, clockSeconds);
    if (clockSeconds - this.stillSince < STILL_SECONDS) return null;
    return { kind: 'stoodStill', silence: this.silence() };
  }
}
