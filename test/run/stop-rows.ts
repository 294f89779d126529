/** The rows of the stop table: what stops the walk, what a person reads, where lap and drives are then, and how soon it stands. */
import { expect } from 'vitest';
import type { Order } from '../../firmware-host/run/conductor';
import type { RunPlan } from '../../firmware-host/run/plan';
import type { RunCommand } from '../../firmware-host/run/types';
import type { VirtualRun } from '../../firmware-host/run/virtual-run';
import type { StandingStart } from '../../firmware-host/virtual/mechanism';
import { encodeToStand } from '../../firmware-host/wire/frame';
import type { Stint } from '../../planner/program/types';
import type { Stand } from '../../planner/stand/types';
import type { FaultyStand } from '../faults/faulty-stand';
import { Remembered } from './support';

/** What a row is walked on. */
export interface Bench {
  stand: Stand;
  start: StandingStart;
  turntableRpm: number;
  stint: Partial<Stint>;
  make(stand: Stand, start: StandingStart): FaultyStand;
}

/** A recorder whose disc can be full. */
export class Keeper extends Remembered {
  full = false;
  /** Called at the first row that is refused. */
  refused = (): void => {};

  override checkpoint(...row: Parameters<Remembered['checkpoint']>): void {
    if (this.full) {
      this.refused();
      throw new Error('database or disk is full');
    }
    super.checkpoint(...row);
  }
}

export interface Walking {
  run: VirtualRun<FaultyStand>;
  recorder: Keeper;
  plan: RunPlan;
}

export interface Row {
  name: string;
  happen(walking: Walking): void;
  /** Puts right what must be right before anybody goes on. */
  mend?(walking: Walking): void;
  words: string | RegExp;
  state: 'Aborted' | 'Suspended' | 'Held' | 'Stopped';
  drives: boolean;
  lap: 'up' | 'down';
  /** The last step at the latest, seconds after it happened; left out where it waits for a place on the path. */
  within?(stand: Stand): number;
  /** Where it comes to rest, turns. */
  at?: number;
  /** Another program than two turns of one pattern. */
  stints?(stint: Partial<Stint>): Partial<Stint>[];
}

export const command = (name: Exclude<RunCommand, 'start' | 'suspend'>): Order => ({ kind: 'command', command: name });
const ordered =
  (order: Order) =>
  ({ run }: Walking): void => {
    expect(run.conductor.order(order)).toEqual({ ok: true });
  };
type Input = Parameters<FaultyStand['force']>[0];
const forced = (input: Input, level = true) => ({
  happen: ({ run }: Walking): void => run.stand.force(input, level),
  mend: ({ run }: Walking): void => run.stand.force(input, null),
});

/** A report of the controller, the host's answer to it, and the line both ways. */
const ANSWER = 0.12;
const ticks =
  (count: number) =>
  ({ tickHz }: Stand): number =>
    count / tickHz;
const ramp =
  (more: number) =>
  ({ rampSeconds }: Stand): number =>
    rampSeconds + more;
export const silence = ({ rampSeconds, hostSilentMs }: Stand): number => hostSilentMs / 1000 + rampSeconds + 0.02;
const HELD = { drives: true, lap: 'up' } as const;
const LOST = { drives: false, lap: 'up', state: 'Aborted' } as const;

export const ROWS: readonly Row[] = [
  { name: 'pause', happen: ordered(command('hold')), words: 'Paused', state: 'Held', ...HELD, within: ramp(ANSWER) },
  { name: 'stop', happen: ordered(command('stop')), words: 'Stopped', state: 'Stopped', ...HELD, within: ramp(ANSWER) },
  {
    name: 'stop at the end of the turn',
    happen: ordered(command('stopAtTurnEnd')),
    words: 'Stopped',
    state: 'Stopped',
    ...HELD,
    at: 1,
  },
  {
    name: 'rest for hand clocking',
    happen: () => {},
    words: 'Waiting for the lap to be clocked by hand',
    state: 'Suspended',
    ...HELD,
    at: 1,
    stints: (stint) => [{ ...stint, clocking: { kind: 'byHand', everyTurns: 1, byDeg: 90 } }],
  },
  {
    name: 'something outside is due (slurry)',
    happen: ordered({ kind: 'command', command: 'suspend', cause: 'fresh slurry' }),
    words: 'Waiting for fresh slurry',
    state: 'Suspended',
    ...HELD,
    within: ramp(ANSWER),
  },
  {
    name: 'index missing',
    ...forced('index', false),
    words: 'Waiting for a person: the index did not come within 0.50 degrees of turn 1',
    state: 'Suspended',
    ...HELD,
  },
  {
    name: 'index early',
    happen: ({ run }) => run.stand.slip('turntable', 2),
    words: /^Waiting for a person: the turntable slipped, the index came [12]\.\d\d degrees early at turn 1$/,
    state: 'Suspended',
    ...HELD,
  },
  {
    name: 'index late',
    happen: ({ run }) => run.stand.slip('turntable', -2),
    // Told as soon as it is overdue, or with its edge where that comes while it eases.
    words:
      /^Waiting for a person: .*(?:the index did not come within 0\.50 degrees of|[12]\.\d\d degrees late at) turn 1$/,
    state: 'Suspended',
    ...HELD,
  },
  {
    name: 'halt input',
    ...forced('halt'),
    words: 'Stopped by the halt input, must be cleared',
    ...LOST,
    within: ticks(2),
  },
  {
    name: 'drive fault',
    ...forced('driveFault'),
    words: 'Stopped by a drive that reports a fault, must be cleared',
    ...LOST,
    within: ticks(2),
  },
  {
    name: 'limit',
    ...forced('strokeHigh'),
    words: 'Stopped by a slide at the end of its travel, must be cleared',
    ...LOST,
    within: ticks(3),
  },
  {
    name: 'guard opens',
    ...forced('guard'),
    words: 'Stopped by an open guard, must be cleared',
    ...LOST,
    within: ramp(0.02),
  },
  {
    name: 'controller restarts (watchdog)',
    happen: ({ run }) => run.stand.reboot('watchdog'),
    words: 'Stopped by the watchdog of the controller, must be cleared',
    ...LOST,
    within: ticks(1),
  },
  {
    name: 'supply dips (brown-out)',
    happen: ({ run }) => run.stand.reboot('brown-out'),
    words: 'Stopped by a dip of the supply voltage, must be cleared',
    ...LOST,
    within: ticks(1),
  },
  {
    name: '0xFF from the line',
    happen: ({ run }) => run.stand.pipe.write(Uint8Array.of(0xff)),
    words: 'Stopped by a system reset from the line, must be cleared',
    state: 'Aborted',
    ...HELD,
    within: ramp(0.02),
  },
  {
    name: 'too many damaged frames',
    happen({ run }) {
      const frame = encodeToStand({ name: 'heartbeat', counter: 7 }, 5, 0);
      frame[4]! ^= 1;
      for (let i = 0; i < 25; i++) run.stand.pipe.write(frame);
    },
    words: 'Stopped by too many errors on the line, must be cleared',
    state: 'Aborted',
    ...HELD,
    within: ramp(0.05),
  },
  {
    name: 'lift sticks on its way up',
    happen({ run }) {
      run.stand.stickLift(true);
      run.conductor.order(command('hold'));
    },
    mend: ({ run }) => run.stand.stickLift(false),
    words: 'Stopped by a lift that did not arrive in time, must be cleared',
    state: 'Aborted',
    drives: true,
    lap: 'down',
    within: ramp(ANSWER),
  },
  {
    name: "lift's lower sensor lost",
    ...forced('liftDown', false),
    words: 'Stopped by a lift that did not arrive in time, must be cleared',
    state: 'Aborted',
    ...HELD,
    within: (stand) => stand.lift.timeoutSeconds + stand.rampSeconds + 0.05,
  },
  {
    name: 'host silent for 3 s',
    happen({ run }) {
      for (let left = 3; left > 0; left -= 0.005) run.stand.advance(0.005);
    },
    words: /^Waiting for a person: (?:this|the) computer was silent for /,
    state: 'Suspended',
    ...HELD,
    within: silence,
  },
  {
    name: 'cable out, and in again after 4 s',
    happen({ run }) {
      run.unplug();
      run.simulation.clock.after(4, () => run.plugIn());
    },
    words: 'Waiting for the line to the stand',
    state: 'Suspended',
    ...HELD,
    within: silence,
  },
  {
    name: 'another host on the line makes it ease',
    happen({ run }) {
      const times = { rampMs: 500, hostSilentMs: 500, liftTimeoutMs: 3000, enableDelayMs: 200 };
      run.stand.pipe.write(encodeToStand({ name: 'open', proposedLink: 77, ...times }, 0, 0));
    },
    words: 'Waiting for a person: the stand came to rest without being asked',
    state: 'Suspended',
    ...HELD,
    within: ramp(0.02),
  },
  {
    name: 'the logbook cannot be written',
    happen({ recorder }) {
      recorder.full = true;
    },
    mend({ recorder }) {
      recorder.full = false;
    },
    words: 'Waiting for the logbook, which cannot be written (database or disk is full)',
    state: 'Suspended',
    ...HELD,
    within: (stand) => 5 + stand.rampSeconds + ANSWER,
  },
];
