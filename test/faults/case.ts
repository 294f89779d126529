/**
 * One case of the campaign: a program, a stand, what happens to them, and a person who puts right what must be put right and goes on
 * until the program is walked. The same seed and number always give the same case.
 */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setImmediate as turnOfTheLoop } from 'node:timers/promises';
import type { PinBoard } from '../../firmware-host/controller/pin-table';
import { type EventKind, Logbook } from '../../firmware-host/logbook/logbook';
import type { RunSnapshot } from '../../firmware-host/run/snapshot';
import { ChipStand } from '../../firmware-host/virtual/chip-stand';
import { Simulation } from '../../firmware-host/virtual/simulation';
import { VirtualStand } from '../../firmware-host/virtual/virtual-stand';
import { seeded } from '../support/random';
import type { CaseWorld } from './case-world';
import { type Happened, IN_SERIES, judgeCauses } from './causes';
import { type Drawn, drawIncidents, incidentOf } from './draw-incidents';
import type { FaultyStand } from './faulty-stand';
import { type Acknowledged, Host } from './host';
import type { Incident } from './incident';
import { Oracle } from './oracle';
import { LEFT_STANDING, type Planned, PROGRAM_COUNT, plannedProgram, SHORT_PROGRAM } from './world';

export interface CaseResult {
  seed: number;
  number: number;
  program: number;
  incidents: readonly Drawn[];
  words: string;
  /** Names of the incidents that came to pass. */
  begun: readonly string[];
  /** What the oracle found wrong; empty when all is well. */
  wrong: readonly string[];
  events: readonly string[];
  standSeconds: number;
}

const SLICE_SECONDS = 0.02;
const HEARTBEAT_SECONDS = 0.1;
const LIMIT_SECONDS = 1200;
const WAITING = /^(Held|Suspended|Stopped|Aborted|Complete|Idle)$/;
const WALL_BEGAN_MS = 1_760_000_000_000;

export interface CaseOptions {
  seed: number;
  number: number;
  /** Instead of the program and the incidents drawn from the seed. */
  given?: { program: number; incidents: readonly Drawn[] };
  /** Beside those. */
  add?: readonly Incident[];
  /** Before each row of the logbook; may kill the host. */
  beforeRow?(world: CaseWorld): void;
  /** After each row of the logbook, before the host does anything else. */
  afterRow?(world: CaseWorld): void;
  /** The image of this board on an emulated chip instead of the WebAssembly core. */
  board?: PinBoard['board'];
}

/** What a case of a seed is before anything moves; `random` goes on from there. On an emulated chip it is short, with one incident. */
export function drawCase(seed: number, number: number, board?: PinBoard['board']) {
  const random = seeded((Math.imul(seed, 0x9e3779b1) ^ Math.imul(number + 1, 0x85ebca6b)) >>> 0);
  const drawn = Math.floor(random() * PROGRAM_COUNT);
  const program = board === undefined ? drawn : SHORT_PROGRAM;
  const most = board === undefined ? Number.POSITIVE_INFINITY : 1;
  return { random, program, incidents: () => drawIncidents(random, plannedProgram(program).summary.turns, most) };
}

/** Drawn incidents as they befall a program. */
export function incidentsOf(drawn: readonly Drawn[], { plan, summary }: Planned): Incident[] {
  return drawn.map((one) => incidentOf(one, summary.turns, plan.path.rests.length > 0));
}

export function caseName(seed: number, number: number): string {
  return `${seed}:${number}`;
}

export async function runCase(options: CaseOptions): Promise<CaseResult> {
  const folder = mkdtempSync(join(tmpdir(), 'wholeturn-fault-'));
  try {
    return await new Case(options, join(folder, 'logbook.db')).run();
  } finally {
    // What the database holds outside the heap is given back only between two turns of the event loop.
    await turnOfTheLoop();
    rmSync(folder, { recursive: true });
  }
}

class Case implements CaseWorld {
  readonly stand: FaultyStand;
  readonly oracle: Oracle;
  host!: Host;
  private readonly simulation = new Simulation();
  private readonly random: () => number;
  private readonly program: number;
  private readonly planned: Planned;
  private readonly drawn: readonly Drawn[];
  private readonly incidents: Happened[];
  private readonly acknowledged: Acknowledged = { events: [], runs: new Set() };
  private logbook: Logbook;
  private full = false;
  private jumpedMs = 0;
  private runs = 0;
  private startAsked: number | null = null;
  private actAt: number | null = null;
  private furthest = 0;
  /** Stalls with no heartbeat between them, seconds in all, and when the host was last stalled. */
  private stalled = { seconds: 0, at: Number.NEGATIVE_INFINITY };
  private mayBeMissed = false;

  constructor(
    private readonly options: CaseOptions,
    private readonly file: string,
  ) {
    const { seed, number, given, board } = options;
    const drawn = drawCase(seed, number, board);
    this.random = drawn.random;
    this.program = given?.program ?? drawn.program;
    this.planned = plannedProgram(this.program);
    const { plan } = this.planned;
    this.drawn = given?.incidents ?? drawn.incidents();
    const incidents = [...incidentsOf(this.drawn, this.planned), ...(options.add ?? [])];
    this.incidents = incidents.map((incident) => ({ incident, begun: null, over: false, firstRow: 0, stopped: false }));
    const bootId = 1 + Math.floor(this.random() * 0xfff0);
    const where = { stand: plan.stand, start: LEFT_STANDING };
    this.stand = board === undefined ? new VirtualStand({ ...where, bootId }) : new ChipStand({ ...where, board });
    this.simulation.add(this.stand);
    this.logbook = Logbook.open(file);
    this.oracle = new Oracle(
      this.planned,
      this.stand,
      () => {
        const conductor = this.host.conductor;
        return conductor === null
          ? null
          : { turnsWalked: conductor.snapshot().turnsWalked, slipSteps: conductor.result().slipSteps };
      },
      () => this.now(),
      board !== 'small',
    );
    this.startHost();
  }

  now(): number {
    return this.simulation.clock.now();
  }

  turnsIn(seconds: number): number {
    return seconds * this.planned.plan.law.cruiseTurnsPerSecond;
  }

  startHost(): void {
    // What a process held of the line is closed by the system when it ends.
    if (this.host !== undefined) this.stand.unplug();
    this.host = new Host({
      stand: this.stand,
      clock: this.simulation.clock,
      planned: this.planned,
      logbook: this.logbook,
      nowMs: () => WALL_BEGAN_MS + this.now() * 1000 + this.jumpedMs,
      newRunId: () => `run-${++this.runs}`,
      linkId: 1 + Math.floor(this.random() * 0x3ff0),
      acknowledged: this.acknowledged,
      beforeRow: () => {
        if (this.full) throw new Error('database or disk is full');
        this.options.beforeRow?.(this);
      },
      afterRow: () => this.options.afterRow?.(this),
    });
  }

  after(seconds: number, act: () => void): void {
    this.simulation.clock.after(seconds, act);
  }

  discFull(full: boolean): void {
    this.full = full;
  }

  jumpClock(ms: number): void {
    this.jumpedMs += ms;
  }

  stall(seconds: number): void {
    const { stalled } = this;
    stalled.seconds = this.now() - stalled.at < HEARTBEAT_SECONDS ? stalled.seconds + seconds : seconds;
    stalled.at = this.now();
    // Each too short to be missed, together long enough.
    if (stalled.seconds + 2 * HEARTBEAT_SECONDS >= this.planned.plan.stand.hostSilentMs / 1000) this.mayBeMissed = true;
    this.oracle.mustRest(Math.max(0.85, 0.5 + 0.85), 'a host that stalled');
    for (let left = seconds; left > 0; left -= 0.005) this.stand.advance(Math.min(left, 0.005));
    if (seconds < 0.5) this.oracle.restNoMore();
  }

  ask(command: string): boolean {
    if (command === 'suspend') return this.tell({ kind: 'command', command, cause: 'fresh slurry' });
    if (command === 'start') return this.tell({ kind: 'command', command, from: 'place' });
    return this.tell({ kind: 'command', command: command as 'hold' });
  }

  async run(): Promise<CaseResult> {
    try {
      await this.walk();
    } catch (error) {
      this.oracle.complain(`threw: ${(error as Error).stack ?? error}`);
    }
    this.full = false;
    this.host.close();
    this.readLogbook();
    const words = [
      `program "${this.planned.plan.program.title}"`,
      ...this.incidents.map(({ incident, begun }) => {
        const when = begun === null ? 'never' : `at ${begun.toFixed(2)} s`;
        return `${incident.name} due at ${incident.at.toFixed(3)} (${when})`;
      }),
    ].join('; ');
    const events = this.acknowledged.events.map(({ words }) => words);
    const begun = this.incidents.filter((one) => one.begun !== null).map(({ incident }) => incident.name);
    return { ...this.named(), words, begun, wrong: this.oracle.violations, events, standSeconds: this.now() };
  }

  private named(): Pick<CaseResult, 'seed' | 'number' | 'program' | 'incidents'> {
    const { seed, number } = this.options;
    return { seed, number, program: this.program, incidents: this.drawn };
  }

  private async walk(): Promise<void> {
    while (this.now() < LIMIT_SECONDS) {
      this.simulation.advance(SLICE_SECONDS);
      await Promise.resolve();
      this.happen();
      if (!this.host.alive) continue;
      if (this.host.failure !== null) {
        // Nothing answered: a person looks at the cable and tries again.
        this.startHost();
        continue;
      }
      const { conductor } = this.host;
      if (conductor === null) continue;
      const snapshot = conductor.snapshot();
      if (WAITING.test(snapshot.state)) {
        if (!this.easesAlone(snapshot)) this.oracle.waits();
        if (snapshot.state === 'Complete' && this.settled()) {
          this.oracle.complete(snapshot.turnsWalked);
          const { endSteps } = conductor.result();
          if (JSON.stringify(endSteps) !== JSON.stringify(this.planned.summary.endSteps))
            this.oracle.complain(`ended at ${JSON.stringify(endSteps)}`);
          return;
        }
        if ((this.walkedOut() || this.keptAsDone()) && /^(Stopped|Idle)$/.test(snapshot.state) && this.settled()) {
          this.oracle.complete(this.planned.summary.turns);
          return;
        }
        this.act(snapshot);
      } else this.actAt = null;
      if (this.oracle.violations.length > 0) return;
    }
    const snapshot = this.host.conductor?.snapshot();
    this.oracle.complain(`not done after ${LIMIT_SECONDS} s: ${snapshot?.words ?? 'no host'}`);
  }

  /** Stopped as far as the host can see, with nobody to tell it whether the stand has eased yet. */
  private easesAlone(snapshot: RunSnapshot): boolean {
    return snapshot.state === 'Aborted' && !this.incidents.every(({ begun, over }) => begun === null || over);
  }

  /** Stopped on the last step of all: nothing is left to walk. */
  private walkedOut(): boolean {
    return this.host.conductor?.snapshot().turnsWalked === this.planned.summary.turns;
  }

  /** The last row of a run that is over was written before its host was killed. */
  private keptAsDone(): boolean {
    return this.logbook.runs(1)[0]?.report?.turnsWalked === this.planned.summary.turns;
  }

  private settled(): boolean {
    return this.incidents.every(({ begun, over }) => begun === null || over);
  }

  private happen(): void {
    const walked = this.host.conductor?.snapshot().turnsWalked ?? 0;
    this.furthest = Math.max(this.furthest, walked);
    for (const entry of this.incidents) {
      const { incident } = entry;
      const due =
        incident.at < 0
          ? this.startAsked !== null && this.now() >= this.startAsked - incident.at
          : this.furthest >= incident.at && this.host.conductor?.snapshot().state === 'Execute';
      if (entry.begun === null && due && this.host.alive && this.host.conductor !== null) {
        entry.begun = this.now();
        entry.firstRow = this.acknowledged.events.length;
        entry.stopped = /^Abort/.test(this.host.conductor.snapshot().state);
        incident.begin(this);
      }
      if (entry.begun === null || entry.over) continue;
      if (this.now() >= entry.begun + incident.seconds) {
        entry.over = true;
        incident.end(this);
      } else incident.during?.(this);
    }
  }

  /** What a person does about it, a moment after it has come to stand. */
  private act(snapshot: RunSnapshot): void {
    if (!this.settled()) return;
    this.actAt ??= this.now() + 0.3 + 2 * this.random();
    if (this.now() < this.actAt) return;
    this.actAt = null;
    const { state, stoodAtTurns } = snapshot;
    if (state === 'Aborted' && IN_SERIES.test(snapshot.words)) this.moveSlidesInside();
    if (state === 'Aborted') this.ask('clear');
    else if (state === 'Stopped') this.ask('reset');
    else if (state === 'Held') this.ask('unhold');
    else if (state === 'Suspended') this.ask('unsuspend');
    else if (state === 'Idle') this.start(stoodAtTurns !== null);
  }

  /** Off the end switches that a search ends at. */
  private moveSlidesInside(): void {
    for (const [slide, axis, steps] of [
      ['stroke', 1, 400],
      ['radial', 2, -800],
    ] as const) {
      this.stand.push(slide, steps);
      this.oracle.pushed(axis, steps);
    }
  }

  private start(goesOn: boolean): void {
    this.startAsked ??= this.now();
    if (!goesOn && this.oracle.covered > 0)
      this.oracle.complain(`the place at turn ${this.oracle.covered.toFixed(4)} is lost: nothing to go on from`);
    if (!goesOn) this.oracle.begunAnew();
    this.tell({ kind: 'command', command: 'start', from: goesOn ? 'place' : 'beginning' });
  }

  private tell(order: Parameters<Host['order']>[0]): boolean {
    const standing = this.host.conductor?.snapshot().turnsWalked ?? 0;
    const answer = this.host.order(order);
    if (!answer.ok) return false;
    if (order.command === 'start') this.oracle.permit(order.from === 'place' ? standing : 0);
    else if (order.command === 'unhold' || order.command === 'unsuspend') this.oracle.permit(null);
    else if (/^(hold|stop|abort|suspend)$/.test(order.command)) this.oracle.mustRest(0.85, `"${order.command}"`);
    return true;
  }

  /** Opened anew, as after a crash: whole, with everything that was acknowledged, and with the cause of each stop. */
  private readLogbook(): void {
    const { oracle, acknowledged } = this;
    this.logbook.close();
    this.logbook = Logbook.open(this.file);
    for (const fault of this.logbook.faults()) oracle.complain(`the logbook is damaged: ${fault}`);
    const kept = this.logbook.events(100_000).map(({ kind, words }): [EventKind, string] => [kind, words]);
    const told = acknowledged.events.map(({ kind, words }): [EventKind, string] => [kind, words]);
    if (JSON.stringify(kept) !== JSON.stringify(told))
      oracle.complain(`of ${told.length} acknowledged rows the logbook has ${kept.length}, or others`);
    for (const run of acknowledged.runs) if (this.logbook.run(run) === null) oracle.complain(`run ${run} is missing`);
    this.logbook.close();
    judgeCauses(
      acknowledged.events.map(({ words }) => words),
      {
        happened: this.incidents,
        oracle,
        indexToleranceDeg: this.planned.plan.stand.indexToleranceDeg,
        mayBeMissed: this.mayBeMissed,
      },
    );
  }
}
