/**
 * The feeder: writes the walk as segments just as fast as the stand has room for them, and knows from the place the stand tells
 * every axis to the step and the turns walked. Nothing is written ahead of what is sent, so a new end ("stop at the end of the
 * turn") takes hold as soon as the queue of the stand allows.
 */
import type { Path } from '../../planner/path/types';
import type { Stand } from '../../planner/stand/types';
import { SegmentChecker } from '../../planner/steps/checker';
import { findingSentence } from '../../planner/steps/findings';
import type { StepCounts } from '../../planner/steps/kinematics';
import { SegmentLedger } from '../../planner/steps/ledger';
import { stepsAtTurns } from '../../planner/steps/rounding';
import { SEGMENT_BYTES, SEGMENT_MIN_TICKS } from '../../planner/steps/segment';
import { SegmentWriter } from '../../planner/steps/writer';
import type { TimeLaw } from '../../planner/timing/types';
import type { StandLink, StreamPlace } from '../stand/stand-link';
import { Trouble } from './procedure';
import type { StreamMark } from './stream-mark';
import type { Travel } from './travel';

/** What is walked: a path under a time law, from where the axes really stand. */
export interface Walk {
  path: Path;
  law: TimeLaw;
  /** Left out: exactly where the path is at law.fromTurns. */
  fromSteps?: StepCounts;
  /** A search for a switch: its places are not those of the stand's frame, so they cannot be held against its travel. */
  search?: boolean;
}

/** Turns and turns per second by which two laws may differ and still be the same walk: a thousandth of a step of the turntable. */
const SAME_WALK = 1e-8;
/** Segments behind the walk that stay in memory: a latched index or stop may be asked about a little later. */
const REMEMBERED = 2048;

export class Feeder {
  private readonly writer: SegmentWriter;
  private readonly ledger: SegmentLedger;
  private readonly checker: SegmentChecker | null;
  private readonly tickHz: number;
  private law: TimeLaw;
  private lastPlace: StreamPlace = { segment: -1, ticksLeft: 0 };
  private readonly fromSteps: StepCounts;
  private readonly ends: { afterSegments: number; toTurns: number }[];

  /** The stand's numbers must stand at 0: right after an open or a flush. `travel` goes on counting from walk to walk. */
  constructor(
    private readonly link: StandLink,
    walk: Walk,
    stand: Stand,
    private readonly travel: Travel,
    /** Changes segments on their way to the stand (slip made good); the path's own steps stay what is counted. */
    private readonly onTheWay: (segments: Uint8Array) => Uint8Array = (segments) => segments,
  ) {
    this.law = walk.law;
    this.tickHz = stand.tickHz;
    this.fromSteps = walk.fromSteps ?? stepsAtTurns(walk.path, stand, walk.law.fromTurns);
    this.ends = [{ afterSegments: 0, toTurns: walk.law.toTurns }];
    this.writer = new SegmentWriter(walk.path, walk.law, stand, walk.fromSteps);
    const from = walk.fromSteps === undefined ? {} : { fromSteps: walk.fromSteps };
    this.ledger = new SegmentLedger(walk.path, walk.law, stand, from);
    const options = { mode: 'quick', atMost: 1, ...from } as const;
    this.checker = walk.search === true ? null : new SegmentChecker(walk.path, walk.law, stand, options);
  }

  /**
   * Sends what there is room for, each segment only after the checker has seen it. Throws UnwalkablePath or Trouble; what the
   * checker complains of is not sent, and the stand eases by itself at the end of its queue.
   */
  feed(): void {
    for (let room = this.writer.done ? 0 : this.link.room(); room > 0; room = this.writer.done ? 0 : this.link.room()) {
      const batch = new Uint8Array(room * SEGMENT_BYTES);
      const segments = batch.subarray(0, this.writer.fill(batch));
      this.check(segments);
      this.ledger.append(segments);
      this.travel.append(segments);
      this.link.push(this.onTheWay(segments));
    }
  }

  /** How far the walk was when last looked at. */
  get seenPlace(): StreamPlace {
    return this.lastPlace;
  }

  /** Everything up to the walk's end has been sent. */
  get allSent(): boolean {
    return this.writer.done;
  }

  get fromTurns(): number {
    return this.law.fromTurns;
  }

  /** Where the walk ends now: the program's end, or the index at which it was asked to stop. */
  get endTurns(): number {
    return this.law.toTurns;
  }

  /** Seconds at full pace from a number of turns walked to the walk's end. */
  secondsLeft(turnsWalked: number): number {
    return this.law.durationSeconds - this.law.secondsAt(turnsWalked);
  }

  /** Seconds of path at full pace that are sent and not yet walked. */
  queuedSeconds(): number {
    const last = this.ledger.end - 1;
    return (
      (this.ledger.ticksAt(last, 0) - this.ledger.ticksAt(this.lastPlace.segment, this.lastPlace.ticksLeft)) /
      this.tickHz
    );
  }

  turnsPerSecond(turnsWalked: number): number {
    return this.law.speedAt(this.law.secondsAt(turnsWalked));
  }

  turnsAt(place: StreamPlace): number {
    return this.ledger.turnsAt(place.segment, place.ticksLeft);
  }

  stepsAt(place: StreamPlace): StepCounts {
    return this.ledger.stepsAt(place.segment, place.ticksLeft);
  }

  /** Whether a place belongs to this stream and can be told. */
  knows(place: StreamPlace): boolean {
    return this.ledger.has(place.segment);
  }

  /** Whether the walk may have come there since it was last looked at; a number behind belongs to another stream, begun anew. */
  isAhead(place: StreamPlace): boolean {
    return place.segment >= this.lastPlace.segment && this.knows(place);
  }

  /** Takes note of how far the walk is; returns absolute steps of each axis since the run began. */
  walked(place: StreamPlace): number[] {
    this.lastPlace = place;
    this.ledger.forgetBefore(place.segment - REMEMBERED);
    return this.travel.upTo(place);
  }

  /** What the logbook keeps of this stream, with the last place told. */
  mark(): StreamMark {
    const { law, fromSteps, ends, lastPlace } = this;
    return { fromTurns: law.fromTurns, fromSteps, ends: [...ends], place: lastPlace };
  }

  /** The last segment of the walk is finished. */
  isEnd(place: StreamPlace): boolean {
    return this.writer.done && place.segment === this.ledger.end - 1 && place.ticksLeft === 0;
  }

  private check(segments: Uint8Array): void {
    if (this.checker === null) return;
    const going = this.checker.take(segments);
    const [first] = going && !this.writer.done ? [] : this.checker.finish();
    if (first !== undefined)
      throw new Trouble(`a walk that the check before sending refused (${findingSentence(first)})`);
  }

  /**
   * Lets the walk end at the next index it can still come to rest at. `lawTo` plans the same walk with another end. Where the end of
   * the program is the next one, nothing changes. Returns the turns at which it will rest.
   */
  restAtTurnEnd(lawTo: (toTurns: number) => TimeLaw): number {
    const sentTicks = this.ledger.ticksAt(this.ledger.end - 1, 0);
    const seconds = sentTicks / this.tickHz;
    const sentTurns = this.ledger.turnsAt(this.ledger.end - 1, 0);
    for (let turns = Math.floor(sentTurns) + 1; turns < this.law.toTurns; turns++) {
      const law = lawTo(turns);
      const agrees =
        law.durationSeconds * this.tickHz - sentTicks >= SEGMENT_MIN_TICKS &&
        Math.abs(law.turnsAt(seconds) - this.law.turnsAt(seconds)) < SAME_WALK &&
        Math.abs(law.speedAt(seconds) - this.law.speedAt(seconds)) < SAME_WALK;
      if (!agrees) continue;
      this.writer.changeLaw(law);
      this.ledger.changeLaw(law);
      this.checker?.changeLaw(law);
      this.law = law;
      this.ends.push({ afterSegments: this.ledger.end, toTurns: turns });
      break;
    }
    return this.law.toTurns;
  }
}
