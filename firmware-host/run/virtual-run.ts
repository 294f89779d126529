/**
 * A run on the virtual stand in this thread, on a clock of its own: as fast as the machine can, or held to a pace. The same
 * conductor, link and controller core as on real iron; only time and the mechanism are made.
 */
import type { Stand } from '../../planner/stand/types';
import type { HostClock } from '../stand/clock';
import { SegmentLink } from '../stand/segment-link';
import { GlassUnderLap } from '../virtual/glass/under-lap';
import type { VirtualGlass } from '../virtual/glass/virtual-glass';
import type { StandingStart } from '../virtual/mechanism';
import type { SimulatedStand } from '../virtual/simulated-stand';
import { Simulation } from '../virtual/simulation';
import { VirtualStand } from '../virtual/virtual-stand';
import { Conductor, type ConductorOptions } from './conductor';
import type { RunPlan } from './plan';

export interface VirtualRunOptions extends Pick<ConductorOptions, 'recorder' | 'newRunId' | 'wallMs'> {
  interrupted?: Exclude<ConductorOptions['interrupted'], undefined>;
  plan: RunPlan;
  linkId: number;
  start?: StandingStart;
}

const NEAR_SWITCH_MM = 3;

/** Somewhere near its switches, as the last person left it. */
export function leftStanding({ axes: { stroke, radial } }: Stand): StandingStart {
  return {
    turntableTurns: 0.97,
    lapTurns: 0.95,
    strokeMm: (stroke.min ?? 0) + NEAR_SWITCH_MM,
    radialMm: (radial.max ?? 0) - NEAR_SWITCH_MM,
  };
}

/** Promises get their turn this often. */
const SLICE_SECONDS = 0.02;
const OPEN_SECONDS = 6;

export class VirtualRun<S extends SimulatedStand = VirtualStand> {
  private constructor(
    readonly simulation: Simulation,
    readonly stand: S,
    readonly link: SegmentLink,
    readonly conductor: Conductor,
    private readonly plan: RunPlan,
  ) {}

  static begin(options: VirtualRunOptions & { bootId: number }): Promise<VirtualRun> {
    const { plan, bootId, start = leftStanding(plan.stand) } = options;
    return VirtualRun.beginOn(options, new VirtualStand({ stand: plan.stand, start, bootId }));
  }

  /** On a stand that was just switched on. */
  static async beginOn<S extends SimulatedStand>(options: VirtualRunOptions, stand: S): Promise<VirtualRun<S>> {
    const { linkId } = options;
    const simulation = new Simulation();
    const { clock } = simulation;
    simulation.add(stand);
    const { words, virtual } = stand;
    const link = new SegmentLink({ clock, linkId, words, virtual });
    link.attach(stand.pipe);
    let conductor: Conductor | null = null;
    let failure: Error | null = null;
    Conductor.connect({ ...options, link, clock }).then(
      (connected) => {
        conductor = connected;
      },
      (error: Error) => {
        failure = error;
      },
    );
    await advance(simulation, () => conductor !== null || failure !== null, OPEN_SECONDS);
    if (conductor === null) throw failure ?? new Error('The virtual stand did not answer.');
    return new VirtualRun(simulation, stand, link, conductor, options.plan);
  }

  get seconds(): number {
    return this.simulation.clock.now();
  }

  /**
   * Lays a glass under the lap of the program: from now on it is worn by what the stand does.
   *
   * @throws RemovalRefused where the lap cannot be put on this glass
   */
  lay(glass: VirtualGlass): void {
    const { path, program } = this.plan;
    const turnsWalked = (): number => this.conductor.snapshot().turnsWalked;
    this.simulation.add(new GlassUnderLap(this.stand, glass, { path, lap: program.lap }, turnsWalked));
  }

  /** The cable comes out; the stand goes on by itself. */
  unplug(): void {
    this.stand.unplug();
  }

  plugIn(): void {
    this.link.attach(this.stand.pipe);
  }

  /** Goes on until `done`, looked at every 20 ms of the stand's time; false when the time went by before. */
  until(done: () => boolean, limitSeconds: number): Promise<boolean> {
    return advance(this.simulation, done, limitSeconds);
  }

  /** As `until`, but no faster than `speed` times real time. */
  async untilAtSpeed(done: () => boolean, speed: number, wall: HostClock): Promise<void> {
    const wallBegan = wall.now();
    const began = this.seconds;
    while (!done()) {
      const due = began + (wall.now() - wallBegan) * speed;
      if (due > this.seconds) await advance(this.simulation, done, due - this.seconds);
      await new Promise<void>((resolve) => wall.after(SLICE_SECONDS, resolve));
    }
  }
}

async function advance(simulation: Simulation, done: () => boolean, limitSeconds: number): Promise<boolean> {
  const end = simulation.clock.now() + limitSeconds;
  while (!done()) {
    const left = end - simulation.clock.now();
    if (left <= 1e-9) return false;
    simulation.advance(Math.min(SLICE_SECONDS, left));
    await Promise.resolve();
  }
  return true;
}
