import type { TimeLaw } from '../timing/types';
import type { FindingList } from './finding-list';

/** Rest flags stand exactly where the law rests: at every planned rest, at the end, nowhere else. */
export class RestCheck {
  /** The rest at the end has been reached. */
  ended = false;
  /** The law's time of the rest that the last segment reached or, between rests, has before it. */
  lastRestSeconds: number;

  private restSeconds: number[];
  private next = 0;
  private legStart = 0;

  constructor(
    private readonly list: FindingList,
    law: TimeLaw,
    private readonly tickHz: number,
  ) {
    this.restSeconds = [...law.restSeconds, law.durationSeconds];
    this.lastRestSeconds = this.restSeconds[0]!;
  }

  check(flags: number, endTick: number): void {
    const rest = this.restSeconds[this.next]!;
    this.lastRestSeconds = rest;
    // A rest falls between two ticks: the first tick at or after it, or the shortest segment where the leg is shorter still.
    const late = endTick - rest * this.tickHz;
    const flagged = (flags & 1) === 1;
    const due = late > -1e-3;
    const atRest = due && (late < 1 || endTick - this.legStart === 20);
    if (flagged && !due) this.list.add('stray rest', -1, late, 0, 'a rest where none is planned');
    if (!due) return;
    if (!flagged) this.list.add('missing rest', -1, late, 0, 'walks over a planned rest');
    else if (!atRest) this.list.add('stray rest', -1, late, 1, `the rest comes ${late.toFixed(0)} ticks late`);
    this.legStart = endTick;
    this.next++;
    if (this.next === this.restSeconds.length) this.ended = true;
  }

  /** The walk ends earlier; the rests passed so far are the same. */
  changeLaw(law: TimeLaw): void {
    this.restSeconds = [...law.restSeconds, law.durationSeconds];
  }

  finish(tick: number): void {
    if (this.ended) return;
    const missing = this.restSeconds[this.restSeconds.length - 1]! * this.tickHz - tick;
    this.list.add('ends early', -1, missing, 0, `the stream ends ${missing.toFixed(0)} ticks before the walk does`);
  }
}
