/**
 * The walker carries out the effects that the reducer asks for, and keeps what is known of the walk: where the axes stand, how far
 * the path is walked, what was travelled, how often the host was late. Everything it knows comes from the stand's reports.
 */
import type { PlannedRest } from '../../planner/path/types';
import { stepsAtTurns } from '../../planner/steps/rounding';
import type { StandStatus, StreamPlace } from '../stand/stand-link';
import { Countdown } from './countdown';
import { Feeder } from './feeder';
import { type Doubled, doubledFrom } from './going-on';
import type { Hands } from './hands';
import { type IndexTrouble, IndexWatch, type MeasuredSlip } from './index-watch';
import type { RunPlan } from './plan';
import { placeOf, recounted } from './position';
import { type Procedure, Trouble, until } from './procedure';
import type { Effect, RunModel } from './reducer';
import { reference } from './reference';
import { straightMove } from './straight-move';
import type { StreamMark } from './stream-mark';
import { Travel } from './travel';

/** Free places of the ring below which the walk may start; the pace then never has to wait for the host. */
const FILLED_BELOW = 64;
const START_SECONDS = 5;
/** So close to its end, in turns, the path holds no step any more: a walk that stands there is at the end. */
const NO_STEP_LEFT = 1e-9;

export class Walker {
  /** Wanted share of the planned speed, 0..1. */
  pace = 1;
  droopTicks = 0;
  underruns = 0;
  /** What the index shows that a person must look at; the conductor takes it from here. */
  indexTrouble: IndexTrouble | null = null;
  /** How far off the table was at the last index, and the furthest of this run. */
  slip: MeasuredSlip | null = null;
  worstSlipDegrees = 0;
  /** Why the walk cannot be written on; completes "Stopped by ...". The conductor takes it from here. */
  trouble: string | null = null;
  /** The walk may have gone on by as much beyond the place that is known. */
  doubled: Doubled | null = null;
  private readonly countdown: Countdown;
  private slipBefore = 0;
  private index: IndexWatch | null = null;
  /** The stand was asked to empty its queue: what is sent now would be taken for the beginning of the next walk. */
  private emptying = false;
  private feeder: Feeder | null = null;
  private travel = new Travel();
  private travelled: readonly number[] = [0, 0, 0, 0, 0];
  /** Whole steps where the axes stand while nothing is queued; null: not known, references must be found. */
  private standing: readonly number[] | null = null;
  private turns = 0;
  /** What the stream was last seen doing, or was asked for since; what another host's stream does is none of it. */
  private motion: 'rests' | 'asked' | 'walks' = 'rests';
  private last: StandStatus | null = null;

  constructor(
    private readonly hands: Hands,
    private readonly plan: RunPlan,
  ) {
    this.countdown = new Countdown(plan.stand.countdownSeconds);
  }

  /** Seconds until something moves; null while nothing is about to. */
  get startsInSeconds(): number | null {
    return this.countdown.startsInSeconds;
  }

  /** Turns walked of the program, as last told by the stand. */
  get turnsWalked(): number {
    return this.turns;
  }

  /** A run of an earlier launch that stood there is to be gone on with; it may have come so much further. */
  standAt(turnsWalked: number, doubtTurns: number): void {
    this.turns = this.orTheEnd(turnsWalked);
    this.doubled = doubledFrom(this.plan, this.turns, doubtTurns);
  }

  /** How much further than `turnsWalked` it may have come where it rests; null while it walks. */
  get doubtTurns(): number | null {
    return this.motion === 'rests' ? (this.doubled?.turns ?? 0) : null;
  }

  /** What the logbook keeps of the stream that is being walked; null where none is. */
  get mark(): StreamMark | null {
    return this.feeder?.mark() ?? null;
  }

  /** There is a place on the path between its ends from which the walk can go on. */
  get canGoOn(): boolean {
    return (this.turns > 0 || this.doubled !== null) && this.turns < this.plan.path.turns;
  }

  get walkedOut(): boolean {
    return this.turns === this.plan.path.turns;
  }

  /** Where the walk will end now. */
  get endTurns(): number {
    return this.feeder?.endTurns ?? this.plan.path.turns;
  }

  /** Executed steps of each axis in the program's frame; where the path says, if the axes are not known. */
  get steps(): readonly number[] {
    const { feeder, last } = this;
    if (feeder !== null && last !== null && feeder.isAhead(last.place)) return feeder.stepsAt(last.place);
    return this.standing ?? stepsAtTurns(this.plan.path, this.plan.stand, this.turns);
  }

  /** Executed steps since the program's start, as the compiler counts them. */
  get netSteps(): readonly number[] {
    const start = stepsAtTurns(this.plan.path, this.plan.stand, 0);
    return this.steps.map((steps, axis) => steps - start[axis]!);
  }

  get travelSteps(): readonly number[] {
    return this.travelled;
  }

  /** Steps of the turntable that had slipped and were made good, both ways added. */
  get slipSteps(): number {
    return this.slipBefore + (this.index?.corrected ?? 0);
  }

  get turnsPerSecond(): number {
    const { feeder, last } = this;
    return feeder === null || last === null || last.atRest ? 0 : feeder.turnsPerSecond(this.turns) * last.pace;
  }

  /** Seconds to the end at the wanted pace; of the whole rest of the program where nothing is queued. */
  get secondsLeft(): number {
    const law = this.plan.law;
    const atFullPace = this.feeder?.secondsLeft(this.turns) ?? law.durationSeconds - law.secondsAt(this.turns);
    return atFullPace / this.pace;
  }

  get queuedSeconds(): number {
    return this.feeder?.queuedSeconds() ?? 0;
  }

  /** The walk's end is reached: 'end' of the program or the 'turn' it was to stop at. */
  get reached(): 'end' | 'turn' | null {
    const { feeder, last } = this;
    if (last?.atRest && this.nothingLeft) return 'end';
    if (feeder === null || last === null || !last.atRest || !feeder.isEnd(last.place)) return null;
    return feeder.endTurns < this.plan.path.turns ? 'turn' : 'end';
  }

  /** The walk came to its very end while nobody listened: there is nothing to queue and nothing to wait for. */
  private get nothingLeft(): boolean {
    return this.feeder === null && this.walkedOut;
  }

  private orTheEnd(turnsWalked: number): number {
    const { turns } = this.plan.path;
    return turnsWalked >= turns - NO_STEP_LEFT ? turns : turnsWalked;
  }

  /** The planned rest at which the walk stands still. */
  get restingAt(): PlannedRest | null {
    const { feeder, last } = this;
    if (feeder === null || last === null || !last.atRest || !last.atPlannedRest || feeder.isEnd(last.place))
      return null;
    return this.restAtTurns(this.turns);
  }

  restAtTurns(turns: number): PlannedRest | null {
    return this.plan.path.rests.find((rest) => Math.abs(rest.turns - turns) < 1e-6) ?? null;
  }

  /** Takes note of a report and tops up the queue. */
  report(status: StandStatus): void {
    const { feeder, last } = this;
    this.last = status;
    if (status.positionLost) this.standing = null;
    if (feeder === null) return;
    if (last !== null && last.bootId === status.bootId) {
      this.droopTicks += status.droopTicks - last.droopTicks;
      this.underruns += status.underruns - last.underruns;
    }
    if (feeder.isAhead(status.place)) {
      if (status.pace > 0) this.doubled = null;
      if (!status.atRest || status.paceTarget > 0) this.motion = 'walks';
      else if (this.motion === 'walks') this.motion = 'rests';
      this.travelled = feeder.walked(status.place);
      this.turns = feeder.turnsAt(status.place);
      const edge = status.index.place;
      const edgeSteps = edge !== null && feeder.knows(edge) ? feeder.stepsAt(edge)[0]! : null;
      this.judgeIndex(status, edgeSteps);
    }
    this.feed();
  }

  private judgeIndex({ index, inputs }: StandStatus, edgeSteps: number | null): void {
    const watch = this.index;
    if (watch === null) return;
    const trouble = watch.report(index.count, edgeSteps, this.turns, inputs.index);
    this.indexTrouble = trouble ?? this.indexTrouble;
    if (watch.measured === null || watch.measured === this.slip) return;
    this.slip = watch.measured;
    this.worstSlipDegrees = Math.max(this.worstSlipDegrees, Math.abs(watch.measured.degrees));
  }

  /** Tops up the queue. */
  feed(): void {
    if (this.emptying || this.last?.latchedStop !== null || this.trouble !== null) return;
    try {
      this.feeder?.feed();
    } catch (error) {
      this.trouble = (error as Error).message;
    }
  }

  setPace(pace: number, walking: boolean): void {
    this.pace = pace;
    if (walking) this.askForPace();
  }

  private askForPace(): void {
    if (this.motion === 'rests') this.motion = 'asked';
    this.hands.link.pace(this.pace);
  }

  /** Lets the walk rest at the next index it can. */
  restAtTurnEnd(): void {
    const { feeder, plan } = this;
    feeder?.restAtTurnEnd((toTurns) => plan.lawOf(feeder.fromTurns, toTurns));
  }

  /**
   * The queue is gone (dropped by the host or a new link); the walk stood at this place of it, or, after `unseenSeconds` of which
   * nobody knows anything, not far from where it was last seen. True where that leaves axes unknown that were known before.
   */
  settle(told: StreamPlace | null, unseenSeconds = 0): boolean {
    const { feeder, motion, emptying } = this;
    // The queue was emptied as it was asked to be, which only a walk at rest takes, and the line was cut before that was told.
    const emptied = emptying && told !== null && feeder !== null && !feeder.isAhead(told);
    const place = emptied ? feeder.seenPlace : told;
    this.slipBefore = this.slipSteps;
    this.index = null;
    this.feeder = null;
    this.emptying = false;
    this.motion = 'rests';
    if (feeder === null) return false;
    if (place === null || !feeder.isAhead(place)) {
      this.standing = null;
      if (motion !== 'rests') this.standAt(this.turns, unseenSeconds * this.plan.law.cruiseTurnsPerSecond);
      return true;
    }
    this.travelled = feeder.walked(place);
    this.turns = this.orTheEnd(feeder.turnsAt(place));
    this.travel.endStream(place);
    this.standing = this.last?.positionLost === false ? feeder.stepsAt(place) : null;
    return false;
  }

  /** One effect as a procedure. */
  *perform(effect: Effect, model: RunModel): Procedure {
    const { hands } = this;
    switch (effect) {
      case 'warn':
        return yield* this.countdown.run();
      case 'ease':
        return yield* hands.ease();
      case 'liftUp':
        return yield* hands.lift('up');
      case 'liftDown':
        return yield* hands.lift('down');
      case 'drivesOn':
        yield* hands.drivesOn();
        // Numbers start at 0, and the controller takes where the axes stand as known: found they are by `reference`.
        if (this.feeder === null) yield* hands.flush();
        return;
      case 'clearLatch':
        return yield* hands.clearLatch();
      case 'flush':
        this.emptying = true;
        this.settle(yield* hands.flush());
        return;
      case 'reference':
        if (this.standing === null) {
          yield* hands.lift('up');
          this.standing = yield* reference(hands);
        }
        return;
      case 'park':
        if (model.startFrom === 'beginning') this.startAnew();
        return yield* this.park();
      case 'feed':
        return yield* this.fill();
      case 'go':
        return yield* this.go();
      case 'restAtTurnEnd':
        this.restAtTurnEnd();
    }
  }

  private startAnew(): void {
    this.turns = 0;
    this.doubled = null;
    this.travel = new Travel();
    this.travelled = [0, 0, 0, 0, 0];
    this.droopTicks = 0;
    this.underruns = 0;
    this.slipBefore = 0;
    this.slip = null;
    this.worstSlipDegrees = 0;
  }

  private *park(): Procedure {
    const { hands, plan } = this;
    if (this.standing === null) throw new Trouble('axes that nobody knows the place of');
    const target = stepsAtTurns(plan.path, plan.stand, this.turns);
    const from = recounted(this.standing, target, plan.stand);
    const move = straightMove(placeOf(from, plan.stand), placeOf(target, plan.stand), plan.stand);
    this.standing = from;
    if (move === null) return;
    yield* hands.lift('up');
    // Cut short it would leave the axes somewhere on the way: they are known again only where it ends.
    this.standing = null;
    this.standing = yield* hands.move({ ...move, fromSteps: from }, new Travel());
  }

  private *fill(): Procedure {
    if (this.nothingLeft) return;
    if (this.feeder === null) {
      const { hands, plan, standing } = this;
      if (standing === null) throw new Trouble('axes that nobody knows the place of');
      // The feeder counts from 0: anything queued before it would be walked ahead of what it knows.
      yield* until((status) => status.segmentsAccepted === 0, START_SECONDS, 'a queue that is not empty');
      const law = plan.lawOf(this.turns, plan.path.turns);
      const index = new IndexWatch(plan.stand, this.turns);
      this.index = index;
      this.indexTrouble = null;
      this.trouble = null;
      const correct = (segments: Uint8Array): Uint8Array => index.correct(segments);
      this.feeder = new Feeder(
        hands.link,
        { path: plan.path, law, fromSteps: standing },
        plan.stand,
        this.travel,
        correct,
      );
    }
    const { feeder } = this;
    yield* until(
      (status) => {
        feeder.feed();
        return feeder.allSent || status.ringFree < FILLED_BELOW;
      },
      START_SECONDS,
      'a queue that does not fill',
    );
  }

  private *go(): Procedure {
    if (this.nothingLeft) return;
    const { feeder } = this;
    if (feeder === null) throw new Trouble('a walk with nothing queued');
    const atEnd = (status: StandStatus): boolean => feeder.isEnd(status.place);
    let asked = false;
    yield* until(
      (status) => {
        if (!asked && !atEnd(status)) this.askForPace();
        asked = true;
        return status.paceTarget > 0 || !status.atRest || atEnd(status);
      },
      START_SECONDS,
      'a walk that does not begin',
    );
  }
}
