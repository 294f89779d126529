import type { TimeLaw } from '../timing/types';
import type { Finding, FindingKind } from './findings';

/** The first findings of a check, each with the place it was found at. */
export class FindingList {
  readonly findings: Finding[] = [];
  private segment = 0;
  private tick = 0;
  private closed = false;

  constructor(
    private readonly atMost: number,
    private readonly law: TimeLaw,
    private readonly tickHz: number,
  ) {}

  get full(): boolean {
    return this.closed || this.findings.length >= this.atMost;
  }

  /** Sets the place that what is added next belongs to: segment number and tick of its end. */
  at(segment: number, tick: number): void {
    this.segment = segment;
    this.tick = tick;
  }

  add(kind: FindingKind, axis: number, value: number, limit: number, words: string): void {
    if (this.full) return;
    const seconds = this.tick / this.tickHz;
    this.findings.push({
      kind,
      segment: this.segment,
      seconds,
      turns: this.law.turnsAt(seconds),
      axis,
      value,
      limit,
      words,
    });
  }

  /** Nothing that follows can be judged any more. */
  close(): void {
    this.closed = true;
  }
}
