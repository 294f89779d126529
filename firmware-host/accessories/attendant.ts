/**
 * Looks after the accessories of a run: doses slurry, shows the lamps, sounds the buzzer, reads sensors, and lets the walk wait where a
 * rule says so. It only asks the conductor, as a person would, and never starts anything.
 */
import type { Accessories } from '../../planner/stand/accessories';
import type { Order, OrderAnswer } from '../run/conductor';
import type { RunPlan } from '../run/plan';
import type { RunSnapshot } from '../run/snapshot';
import type { RunState } from '../run/types';
import type { HostClock } from '../stand/clock';
import type { StandStatus } from '../stand/stand-link';
import type { Kit } from './kit';
import { SensorWatch } from './sensor-watch';
import { type Progress, SlurryWatch } from './slurry-watch';

export interface AttendantOptions {
  accessories: Accessories;
  kit: Kit;
  plan: RunPlan;
  conductor: { snapshot(): RunSnapshot; order(order: Order): OrderAnswer };
  clock: HostClock;
}

export interface AccessoryShown {
  name: string;
  words: string;
}

const LOOK_SECONDS = 0.1;
/** By hand the glass is wetted at the end of the turn, which has just passed while the place is this close behind it. */
const JUST_PASSED_TURNS = 0.05;
/** A report that comes so much later than the one before: the controller may have taken the host for silent meanwhile. */
const GAP_SECONDS = 0.3;
const BUZZ_SECONDS = 3;
const WAITS: ReadonlySet<RunState> = new Set<RunState>(['Suspended', 'Held']);
const STOPPED: ReadonlySet<RunState> = new Set<RunState>(['Aborting', 'Aborted']);
const MOVES: ReadonlySet<RunState> = new Set<RunState>([
  'Starting',
  'Execute',
  'Unholding',
  'Unsuspending',
  'Completing',
]);

export class Attendant {
  private readonly slurry: SlurryWatch | null;
  private readonly sensors: readonly { watch: SensorWatch; channel: number }[];
  private cancelLook: () => void;
  private cancelDose: (() => void) | null = null;
  private state: RunState | null = null;
  private runId: string | null = null;
  private lookedAt: number;
  private seconds = 0;
  private buzzUntil = 0;
  private waitsForSlurry = false;
  private reported: { at: number; bootId: number; silent: boolean } | null = null;

  constructor(private readonly options: AttendantOptions) {
    const { accessories, kit, clock, conductor } = options;
    this.slurry = accessories.slurry && new SlurryWatch(accessories.slurry.every);
    this.sensors = accessories.sensors.map(({ name, rule }) => ({
      watch: new SensorWatch(name, rule),
      channel: rule.channel,
    }));
    this.lookedAt = clock.now();
    kit.onFootSwitch(() => conductor.order({ kind: 'command', command: 'hold' }));
    this.cancelLook = clock.after(LOOK_SECONDS, () => this.look());
  }

  /** To be told every report of the stand. */
  report({ bootId, hostSilent }: StandStatus): void {
    const { kit, clock } = this.options;
    const before = this.reported;
    const at = clock.now();
    this.reported = { at, bootId, silent: hostSilent };
    if (before === null || hostSilent) return;
    if (before.silent || before.bootId !== bootId || at - before.at > GAP_SECONDS) kit.renew();
  }

  shown(): AccessoryShown[] {
    const { accessories } = this.options;
    const all: AccessoryShown[] = [];
    if (this.slurry !== null) {
      const how = accessories.slurry?.pump ? 'Slurry, by pump' : 'Slurry, by hand';
      all.push({ name: how, words: this.cancelDose === null ? this.slurry.words(this.progress()) : 'pumping' });
    }
    for (const { watch } of this.sensors) all.push({ name: watch.name, words: watch.words() });
    return all;
  }

  close(): void {
    this.cancelLook();
    this.cancelDose?.();
    this.options.kit.close();
  }

  private look(): void {
    const { clock, conductor } = this.options;
    this.cancelLook = clock.after(LOOK_SECONDS, () => this.look());
    const snapshot = conductor.snapshot();
    const now = clock.now();
    if (snapshot.state === 'Execute' && this.state === 'Execute') this.seconds += now - this.lookedAt;
    this.lookedAt = now;
    if (snapshot.runId !== this.runId) this.beginRun(snapshot.runId);
    if (snapshot.state !== this.state) this.enter(snapshot.state);
    this.light(snapshot);
    this.lookAtSensors(snapshot.state);
    if (snapshot.state === 'Execute' && !snapshot.air) this.lookAtSlurry(snapshot.turnsWalked);
  }

  private beginRun(runId: string | null): void {
    this.runId = runId;
    this.seconds = 0;
    this.slurry?.dosed(this.progress());
  }

  private enter(state: RunState): void {
    if (state === 'Execute' && this.waitsForSlurry) {
      // The person who said "go on" has wetted the glass.
      this.waitsForSlurry = false;
      this.slurry?.dosed(this.progress());
    }
    if (state !== 'Execute') this.endDose();
    if (state === 'Suspended' || state === 'Aborted') this.buzzUntil = this.options.clock.now() + BUZZ_SECONDS;
    this.state = state;
  }

  private light({ state, startsInSeconds }: RunSnapshot): void {
    const { kit, clock, accessories } = this.options;
    const { tower, buzzer } = accessories;
    if (tower !== null) {
      kit.set(tower.green, MOVES.has(state));
      kit.set(tower.yellow, WAITS.has(state));
      kit.set(tower.red, STOPPED.has(state));
    }
    // Half of each second before anything moves, at any hour; one long tone where somebody is needed.
    const warns = startsInSeconds !== null && startsInSeconds % 1 > 0.5;
    if (buzzer !== null) kit.set(buzzer, warns || (startsInSeconds === null && clock.now() < this.buzzUntil));
  }

  private lookAtSensors(state: RunState): void {
    const { kit, conductor } = this.options;
    for (const { watch, channel } of this.sensors) {
      if (!watch.take(kit.reading(channel)) || state !== 'Execute') continue;
      conductor.order({ kind: 'command', command: 'suspend', cause: `"${watch.name}": it reads ${watch.words()}` });
    }
  }

  private lookAtSlurry(turnsWalked: number): void {
    const { accessories, conductor, kit, clock } = this.options;
    const progress = this.progress();
    if (this.slurry === null || !this.slurry.isDue(progress) || this.cancelDose !== null) return;
    const pump = accessories.slurry?.pump ?? null;
    if (pump !== null) {
      kit.set(pump.pin, true);
      const cancel = clock.after(pump.doseSeconds, () => {
        this.slurry?.dosed(this.progress());
        this.endDose();
      });
      this.cancelDose = cancel;
    } else if (turnsWalked - Math.floor(turnsWalked) < JUST_PASSED_TURNS) {
      this.waitsForSlurry = true;
      conductor.order({ kind: 'command', command: 'suspend', cause: 'slurry on the glass' });
    }
  }

  private endDose(): void {
    const pump = this.options.accessories.slurry?.pump;
    this.cancelDose?.();
    this.cancelDose = null;
    if (pump) this.options.kit.set(pump.pin, false);
  }

  private progress(): Progress {
    const { plan, conductor } = this.options;
    const turns = conductor.snapshot().turnsWalked;
    return { turns, strokes: strokesAt(plan, turns), seconds: this.seconds };
  }
}

/** Strokes made at `turnsWalked`, with the part of the one under way. */
function strokesAt({ path }: RunPlan, turnsWalked: number): number {
  let strokes = 0;
  for (const { geared, fromTurns, toTurns } of path.stints) {
    if (turnsWalked <= fromTurns) break;
    strokes += geared.strokes * Math.min(1, (turnsWalked - fromTurns) / (toTurns - fromTurns));
  }
  return strokes;
}
