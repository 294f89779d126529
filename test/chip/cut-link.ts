/**
 * A walk of a real program on the virtual board, followed path tick by path tick, that can be left alone at any moment: the board is
 * copied there, the copy hears nothing more from a host, and must come to rest on the path before its queue ends.
 */
import { expect } from 'vitest';
import { gearProgram } from '../../planner/gearing/gearing';
import { buildPath } from '../../planner/path/path';
import { compileSegments } from '../../planner/steps/compile';
import { stepsAtTurns } from '../../planner/steps/rounding';
import { planTime } from '../../planner/timing/timing';
import { demoStand, program } from '../support/programs';
import { DeskHost, TYPE } from './desk-host';
import { Seeded } from './seeded';

const SEGMENT_BYTES = 8;
const AXES = 4;
/** 1 of rounding and DDA, 0.5 of sag (SPEC 1). */
const STEP_BOUND = 1.5 + 1e-6;
const HEARTBEAT_TICKS = 2_000;
const FULL_PACE = 64;
const REST_LIMIT_TICKS = 120_000;

/** The last 5.4 s of a nudged and clocked ellipse: below 1,000 segments. */
export function shortWalk() {
  const written = program(
    [
      {
        turns: 1,
        shape: 'ellipse',
        widthMm: 16,
        nudge: { everyStrokes: 3, byMm: 10 },
        clocking: { kind: 'steps', everyStrokes: 2, askedDeg: 40, share: 0.5 },
      },
    ],
    { turntableRpm: 5 },
  );
  const path = buildPath(gearProgram(written), written, demoStand);
  const { law } = planTime(path, written, demoStand, 0.55);
  if (law === null) throw new Error('the walk cannot be planned');
  const segments: number[][] = [];
  for (const batch of compileSegments(path, law, demoStand))
    for (let at = 0; at < batch.length; at += SEGMENT_BYTES) segments.push([...batch.slice(at, at + SEGMENT_BYTES)]);
  return { path, law, segments, startSteps: stepsAtTurns(path, demoStand, law.fromTurns) };
}

export type ShortWalk = ReturnType<typeof shortWalk>;

/** Follows a board: which path tick it has walked, and how far its axes are from the path there. */
export class Follower {
  walked = 0;
  worstSteps = 0;
  readonly totalTicks: number;
  private left: number;
  private readonly place = new Float64Array(8);
  private readonly perUnit = [
    demoStand.axes.turntable.stepsPerUnit,
    demoStand.axes.stroke.stepsPerUnit,
    demoStand.axes.radial.stepsPerUnit,
    demoStand.axes.lapTurn.stepsPerUnit,
  ];

  constructor(
    readonly host: DeskHost,
    private readonly walk: ShortWalk,
    /** Path ticks of the frames that are on their way, oldest first. */
    public onTheWay: number[],
  ) {
    this.left = host.board.raw.core_path_ticks();
    this.totalTicks = walk.segments.reduce((sum, segment) => sum + segment[0]!, 0);
  }

  /** A copy on another board, which goes its own way from here. */
  fork(): Follower {
    const copy = new DeskHost();
    copy.board.restore(this.host.board.snapshot());
    const { seq, eases } = this.host;
    Object.assign(copy, { seq, eases, beat: 20_000 });
    const fork = new Follower(copy, this.walk, [...this.onTheWay]);
    fork.walked = this.walked;
    return fork;
  }

  /** One controller tick; true where a path tick was walked. Throws where the queue ends in motion. */
  tick(): boolean {
    const { raw } = this.host.board;
    this.host.board.run(1);
    const now = raw.core_path_ticks();
    let change = now - this.left;
    this.left = now;
    // A frame that was taken in this very tick adds all its ticks at once.
    if (change > 1) change -= this.onTheWay.shift()!;
    if (change !== 0 && change !== -1) throw new Error(`${change} path ticks in one controller tick`);
    if (change === 0) return false;
    this.walked++;
    if (raw.core_level() > 0 && now === 0 && this.walked < this.totalTicks)
      throw new Error('the queue ended in motion');
    return true;
  }

  /** Compares the four axes with the path at the place walked to. */
  look(): void {
    const { path, law, startSteps } = this.walk;
    path.sample(law.turnsAt(this.walked / demoStand.tickHz), this.place);
    for (let axis = 0; axis < AXES; axis++) {
      const wanted = this.place[axis]! * this.perUnit[axis]! - startSteps[axis]!;
      this.worstSteps = Math.max(this.worstSteps, Math.abs(this.host.board.position(axis) - wanted));
    }
    if (this.worstSteps > STEP_BOUND)
      throw new Error(`${this.worstSteps} steps off the path at path tick ${this.walked}`);
  }

  /** No word from the host: walks on until it stands, on the path at every tick. Returns controller ticks to rest. */
  leaveAlone(): number {
    const { raw } = this.host.board;
    for (let ticks = 0; ticks < REST_LIMIT_TICKS; ticks++) {
      if (raw.core_level() === 0) return ticks;
      if (this.tick()) this.look();
    }
    throw new Error('it never came to rest');
  }

  /** Feeds what is left, walks at full pace to the end. */
  goOn(pushed: number): void {
    const { host, walk } = this;
    const feeder = new Feeder(this, walk, pushed);
    host.alive();
    for (let i = 0; i < 2_400; i++) this.tick();
    feeder.beat();
    host.reader.take(host.board.read());
    host.send(TYPE.pace, [FULL_PACE, host.status.rests, host.eases]);
    for (let ticks = 0; this.walked < this.totalTicks; ticks++) {
      if (ticks > 40 * this.totalTicks) throw new Error('it never came to the end');
      if (ticks % HEARTBEAT_TICKS === 0) feeder.beat();
      this.tick();
    }
    this.look();
  }
}

/** Tops the ring up and shows signs of life. */
export class Feeder {
  constructor(
    private readonly follower: Follower,
    private readonly walk: ShortWalk,
    public pushed: number,
  ) {}

  beat(): void {
    const { host } = this.follower;
    host.alive();
    host.reader.take(host.board.read());
    let room = host.status.free - (this.pushed - this.taken());
    while (room >= 7 && this.pushed < this.walk.segments.length) {
      const next = this.walk.segments.slice(this.pushed, this.pushed + 7);
      host.send(TYPE.segments, next.flat());
      this.follower.onTheWay.push(next.reduce((sum, segment) => sum + segment[0]!, 0));
      this.pushed += next.length;
      room -= next.length;
    }
  }

  private taken(): number {
    return this.follower.host.status.accepted;
  }
}

/** A board at the start of the walk: link open, drives on, ring full. */
export function begin(walk: ShortWalk): { follower: Follower; feeder: Feeder } {
  const host = new DeskHost().ready({ silentMs: 500 });
  const follower = new Follower(host, walk, []);
  const feeder = new Feeder(follower, walk, 0);
  feeder.beat();
  for (let i = 0; i < 4_000; i++) follower.tick();
  feeder.beat();
  host.send(TYPE.pace, [FULL_PACE, 0, 0]);
  return { follower, feeder };
}

/** Walks the whole program and calls `at` at every path tick, with the segments pushed so far. */
export function walkAll(walk: ShortWalk, at: (follower: Follower, pushed: number) => void): Follower {
  const { follower, feeder } = begin(walk);
  for (let ticks = 0; follower.walked < follower.totalTicks; ticks++) {
    if (ticks % HEARTBEAT_TICKS === 0) feeder.beat();
    if (follower.tick()) at(follower, feeder.pushed);
  }
  return follower;
}

/** Every axis stands where the path ends, to the step. */
export function expectTheEnd({ path, law, startSteps }: ShortWalk, { host }: Follower): void {
  const { axes } = demoStand;
  const end = path.at(law.toTurns);
  const steps = [
    end.turntableTurns * axes.turntable.stepsPerUnit,
    end.xMm * axes.stroke.stepsPerUnit,
    end.yMm * axes.radial.stepsPerUnit,
    end.lapTurns * axes.lapTurn.stepsPerUnit,
  ];
  expect(steps.map((_, axis) => host.board.position(axis))).toEqual(
    steps.map((wanted, axis) => Math.round(wanted) - startSteps[axis]!),
  );
}

/** Left alone at so many random path ticks; every tenth copy goes on to the end. Returns how many there were. */
export function leaveAloneAt(walk: ShortWalk, count: number, seed: number): number {
  const random = new Seeded(seed);
  const total = walk.segments.reduce((ticks, segment) => ticks + segment[0]!, 0);
  const moments = new Set<number>();
  while (moments.size < count) moments.add(random.whole(1, total - 1));
  let cuts = 0;
  walkAll(walk, (follower, pushed) => {
    if (!moments.has(follower.walked)) return;
    const alone = follower.fork();
    alone.leaveAlone();
    if (cuts++ % 10 === 0) {
      alone.goOn(pushed);
      expectTheEnd(walk, alone);
    }
  });
  return cuts;
}
