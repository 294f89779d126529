/**
 * The conductor: holds the run's model, turns what is asked and what the stand shows into events for the reducer, has the walker
 * carry out the effects, and hands places and words to the recorder. It never waits for a person, a page or a disc.
 */
import type { HostClock } from '../stand/clock';
import { Listeners } from '../stand/listeners';
import type { StandIdentity, StandLink, StandStatus } from '../stand/stand-link';
import { type CutShort, doubledWords } from './going-on';
import { Hands, openOptions } from './hands';
import { LineWatch } from './line-watch';
import type { RunPlan } from './plan';
import { type Procedure, ProcedureRunner } from './procedure';
import { carefulRecorder, type RunRecorder } from './recorder';
import { type Effect, entryEffects, initialModel, modelWords, type RunEvent, type RunModel, reduce } from './reducer';
import { RunBook } from './run-book';
import { SleepWatch } from './sleep-watch';
import { axisCounts, type RunSnapshot, snapshotOf } from './snapshot';
import { takeUp } from './take-up';
import type { RunReport, RunState } from './types';
import { WalkWatch } from './walk-watch';
import { Walker } from './walker';

export interface ConductorOptions {
  link: StandLink;
  clock: HostClock;
  plan: RunPlan;
  recorder: RunRecorder;
  newRunId(): string;
  /** A run of an earlier launch that is to be gone on with. */
  interrupted?: CutShort | null;
  /** Milliseconds since 1970, to notice that the computer slept. Left out: it never does (a simulation). */
  wallMs?(): number;
}

/** Answer to every order; `words` say why not, and what to do. */
export type OrderAnswer = { ok: true } | { ok: false; words: string };
export type Order = RunEvent & { kind: 'command' };

const BEAT_SECONDS = 0.05;
const REOPEN_SECONDS = 1;
/** A report may have left this long before it came. */
const REPORT_SECONDS = 0.05;
/** Beyond the stand's silence and ramp, for the heartbeat before and the last tail of the ramp. */
const ALONE_SPARE_SECONDS = 0.3;
const ANOTHER_HOST = 'another program that opened the line to the stand; where the axes are is no longer known';
const LOOK_FIRST =
  'Look that the lap is up and free of the glass. Then it goes on from there, or starts anew, when you say so.';
const ENDED: ReadonlySet<RunState> = new Set<RunState>(['Stopped', 'Aborted', 'Complete']);

export class Conductor {
  private model: RunModel;
  private readonly hands: Hands;
  private readonly walker: Walker;
  private readonly runner: ProcedureRunner;
  private readonly changes = new Listeners<RunSnapshot>();
  private readonly offs: (() => void)[];
  private readonly watch: WalkWatch;
  private readonly sleep: SleepWatch;
  private readonly line = new LineWatch();
  private readonly book: RunBook;
  private cancelBeat: () => void = () => {};
  private cancelAlone: () => void = () => {};
  /** When the last report came. */
  private heardSeconds: number;
  /** The run was cut short in an earlier launch, and nobody has said yet what becomes of it. */
  private cutShort: string | null;
  private warned = false;
  private closed = false;

  private constructor(
    private readonly options: ConductorOptions,
    private identity: StandIdentity,
    private status: StandStatus,
  ) {
    const { link, clock, plan, interrupted } = options;
    this.heardSeconds = clock.now();
    this.hands = new Hands(link, plan.stand, identity.fewInputs);
    this.walker = new Walker(this.hands, plan);
    this.runner = new ProcedureRunner(() => clock.now());
    const recorder = carefulRecorder(options.recorder, (words) => this.notKept(words));
    this.book = new RunBook(
      recorder,
      clock,
      this.walker,
      options.newRunId,
      () => this.identity,
      interrupted?.runId ?? null,
    );
    this.sleep = new SleepWatch(() => clock.now(), options.wallMs ?? (() => clock.now() * 1000));
    this.watch = new WalkWatch(this.walker, status, () => this.sleep.silence);
    const restarted = status.positionLost ? identity.bootCause : null;
    this.model = initialModel({ latchedStop: status.latchedStop, restarted });
    const { walker, book, aloneSeconds } = this;
    const stands = interrupted ? takeUp(interrupted, { plan, walker, book, identity, status, aloneSeconds }) : null;
    this.cutShort = this.walker.canGoOn || this.walker.walkedOut ? stands : null;
    if (this.cutShort !== null) this.model = { ...this.model, advice: LOOK_FIRST };
    this.offs = [
      link.onStatus((report) => this.report(report)),
      link.onRefused((words) => this.book.note('notice', `The stand refused: ${words}.`)),
      link.onLost((words) => this.lost(words)),
    ];
    this.walker.report(status);
    this.line.report(status);
    if (stands !== null) this.book.note('notice', stands);
    this.book.note('plain', `${identity.words} found. ${modelWords(this.model)}.`);
    this.beat();
  }

  /** Opens the link and looks at the stand; nothing moves. Rejects when nothing answers. */
  static async connect(options: ConductorOptions): Promise<Conductor> {
    const { link, plan } = options;
    const first = new Promise<StandStatus>((resolve) => {
      const off = link.onStatus((status) => {
        off();
        resolve(status);
      });
    });
    const identity = await link.open(openOptions(plan.stand));
    return new Conductor(options, identity, await first);
  }

  snapshot(): RunSnapshot {
    const { model, walker, status, identity, book, line, cutShort } = this;
    return snapshotOf({ model, walker, status, identity, line: line.ofRun, runId: book.runId, cutShort });
  }

  result(): RunReport {
    const { walker, book, line, model } = this;
    const { damaged, sentAgain } = line.ofRun;
    return {
      state: model.state,
      turnsWalked: walker.turnsWalked,
      endSteps: axisCounts(walker.netSteps),
      travelSteps: axisCounts(walker.travelSteps),
      slipSteps: walker.slipSteps,
      worstSlipDegrees: walker.worstSlipDegrees,
      underruns: walker.underruns,
      droopTicks: walker.droopTicks,
      damagedFrames: damaged,
      resentFrames: sentAgain,
      durationSeconds: book.durationSeconds,
      runId: book.runId ?? '',
      air: model.air,
    };
  }

  /** Called after every change of state or words, not for every report of the stand. */
  onChange(listener: (snapshot: RunSnapshot) => void): () => void {
    return this.changes.add(listener);
  }

  order(order: Order): OrderAnswer {
    if (order.command === 'start') {
      if (order.from === 'place' && !this.walker.canGoOn)
        return { ok: false, words: 'There is no place to go on from. Start anew.' };
      const due = order.from === 'place' ? this.walker.restAtTurns(this.walker.turnsWalked) : null;
      if (due?.reason === 'hand clocking' && this.model.state === 'Idle')
        this.dispatch({ kind: 'plannedRest', reason: due.reason, words: due.words });
    }
    const words = this.dispatch(order);
    return words === null ? { ok: true } : { ok: false, words };
  }

  /** Share of the planned speed, above 0 up to 1; takes hold at once, also while it walks. */
  setPace(pace: number): OrderAnswer {
    if (!(pace > 0 && pace <= 1))
      return { ok: false, words: 'The pace is a share of the planned speed, above 0 up to 1.' };
    this.walker.setPace(pace, this.model.state === 'Execute' && this.walker.restingAt === null);
    this.changes.tell(this.snapshot());
    return { ok: true };
  }

  async close(): Promise<void> {
    this.closed = true;
    this.cancelBeat();
    this.cancelAlone();
    this.runner.cancel();
    for (const off of this.offs) off();
    await this.options.link.close();
  }

  private dispatch(event: RunEvent): string | null {
    const before = this.model;
    const { model, effects, refused } = reduce(before, event);
    if (refused !== null) return refused;
    this.model = model;
    if (model.state !== before.state) this.enter(before.state, effects);
    else {
      for (const effect of effects) this.atOnce(effect);
      if (model.cause !== before.cause) this.book.note('stop', modelWords(model));
    }
    if (model !== before) this.changes.tell(this.snapshot());
    return null;
  }

  private enter(from: RunState, effects: readonly Effect[]): void {
    const { model, runner, book } = this;
    const { state } = model;
    if (state === 'Starting') {
      book.begin(model.startFrom === 'beginning', model.air);
      this.watch.begin();
      this.line.begin();
      this.cutShort = null;
    }
    book.note(state === 'Aborting' ? 'stop' : 'plain', modelWords(model));
    if (state === 'Starting' && model.startFrom === 'place') this.sayWhatIsDoubled();
    book.entered(from, state, this.status);
    if (ENDED.has(state)) book.end(this.result());
    this.watch.entered();
    if (state === 'Execute' || effects.length === 0) runner.cancel();
    if (state === 'Aborting' && model.linkLost) this.letItEaseAlone();
    else if (effects.length > 0 || /ing$/.test(state)) this.carryOut(effects);
  }

  /** The place is known from a row or a report, and the stand may have walked on since: that much is walked again. */
  private sayWhatIsDoubled(): void {
    const { turnsWalked, doubled } = this.walker;
    const twice = doubled === null ? '' : `; ${doubledWords(doubled, this.model.air)}`;
    this.book.note('notice', `Goes on from turn ${turnsWalked.toFixed(4)}${twice}.`);
  }

  /** How long a stand walks on that hears nothing of its host, seconds. */
  private get aloneSeconds(): number {
    const { hostSilentMs, rampSeconds } = this.options.plan.stand;
    return hostSilentMs / 1000 + rampSeconds + ALONE_SPARE_SECONDS;
  }

  /** Nobody hears the stand: by itself it has come to rest and lifted the lap when it has missed the host for long enough. */
  private letItEaseAlone(): void {
    const { clock, plan } = this.options;
    const seconds = this.aloneSeconds + plan.stand.lift.travelSeconds;
    this.runner.cancel();
    this.cancelAlone();
    this.cancelAlone = clock.after(seconds, () => {
      if (this.model.state === 'Aborting' && this.model.linkLost) this.dispatch({ kind: 'done' });
    });
  }

  /** A row could not be kept, and is kept in memory; `words` say why. */
  notKept(words: string): void {
    // Not at once: a row is often written in the middle of a change.
    queueMicrotask(() => {
      if (!this.closed) this.dispatch({ kind: 'notKept', words });
    });
  }

  private enterAgain(): void {
    this.cancelAlone();
    this.carryOut(entryEffects(this.model));
  }

  private carryOut(effects: readonly Effect[]): void {
    this.runner.start(this.script(effects), this.status, {
      done: () => this.dispatch({ kind: 'done' }),
      trouble: (words) => this.trouble(words),
    });
  }

  private *script(effects: readonly Effect[]): Procedure {
    for (const effect of effects) {
      // Something may have come up meanwhile that must be waited for before anything moves.
      if (!entryEffects(this.model).includes(effect)) continue;
      // Before the first segment of a stream is walked there is a row that tells which stream it is.
      if (effect === 'go') this.book.keepPlace(this.model.state, this.status);
      yield* this.walker.perform(effect, this.model);
    }
  }

  /** Effects that belong to a state that stays. */
  private atOnce(effect: Effect): void {
    if (effect === 'go') this.walker.setPace(this.walker.pace, true);
    if (effect === 'restAtTurnEnd') {
      this.walker.restAtTurnEnd();
      // From here on other segments are sent: who comes after this process must know which.
      this.book.keepPlace(this.model.state, this.status);
    }
  }

  /** While stopping because of one trouble another one ends nothing: what can be done has been done. */
  private trouble(words: string): void {
    if (this.model.state !== 'Aborting') this.dispatch({ kind: 'trouble', words });
    else {
      this.book.note('stop', `Beside that: ${words}`);
      this.dispatch({ kind: 'done' });
    }
  }

  private report(status: StandStatus): void {
    const { walker, watch, sleep } = this;
    sleep.look();
    // Until `reopen` has settled where the walk stood, numbers of the new link mean nothing to the feeder of the old one.
    if (this.model.linkLost) return;
    this.status = status;
    this.heardSeconds = this.options.clock.now();
    this.line.report(status);
    walker.report(status);
    for (const event of watch.chip(status)) this.dispatch(event);
    this.runner.report(status);
    for (const event of watch.path()) {
      if (event.kind === 'indexOff') this.book.note('notice', `At the index: ${event.words}.`);
      this.dispatch(event);
    }
    this.tellWarning();
    if (this.model.state !== 'Execute') return;
    this.book.keepPlaceIfDue(this.model.state, status);
    const event = watch.walk(status);
    if (event !== null) this.dispatch(event);
  }

  /** The countdown has begun or is over. */
  private tellWarning(): void {
    const warns = this.walker.startsInSeconds !== null;
    if (warns === this.warned) return;
    this.warned = warns;
    this.changes.tell(this.snapshot());
  }

  private lost(words: string): void {
    this.book.note('notice', `The line to the stand: ${words}`);
    // A port that is gone also falls silent: it is being opened anew already.
    if (this.model.linkLost) return;
    this.sleep.look();
    this.dispatch({ kind: 'linkLost', silence: this.sleep.silence });
    if (this.model.state === 'Aborting') this.letItEaseAlone();
    void this.reopen();
  }

  /** Tries until the stand answers again. The same boot id: it knows where it eased to. Another one: it knows nothing. */
  private async reopen(): Promise<void> {
    const { options, walker } = this;
    try {
      const identity = await options.link.open(openOptions(options.plan.stand));
      if (this.closed) return;
      const sameBoot = identity.bootId === this.identity.bootId;
      this.identity = identity;
      // It has walked on until it had eased, or, where it restarted, until then: some time before it answered.
      const unseen = options.clock.now() - this.heardSeconds + REPORT_SECONDS;
      const placeLost = walker.settle(
        sameBoot ? identity.before : null,
        sameBoot ? this.aloneSeconds : Math.min(unseen, this.aloneSeconds),
      );
      this.dispatch({ kind: 'linkBack' });
      if (!sameBoot) this.dispatch({ kind: 'restarted', cause: identity.bootCause });
      else if (placeLost) this.dispatch({ kind: 'trouble', words: ANOTHER_HOST });
      // What it was stopping for when the line went is now seen through.
      if (this.model.state === 'Aborting') this.enterAgain();
    } catch {
      if (!this.closed) options.clock.after(REOPEN_SECONDS, () => void this.reopen());
    }
  }

  private beat(): void {
    const { clock, link } = this.options;
    this.cancelBeat = clock.after(BEAT_SECONDS, () => this.beat());
    link.alive();
    this.sleep.look();
    if (this.line.take(link.tally(), clock.now()) && !this.model.linkLost) this.dispatch({ kind: 'noisyLine' });
    // What is queued now belongs to a link that is gone.
    if (!this.model.linkLost) this.walker.feed();
  }
}
