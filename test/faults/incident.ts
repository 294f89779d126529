/** One thing that happens to a run: when it is over, what must be recorded of it and what may be; and how the usual ones are made. */
import type { StandInputs } from '../../firmware-host/stand/stand-link';
import type { Fault } from '../support/faulty-pipe';
import type { CaseWorld } from './case-world';

export interface Incident {
  name: string;
  /** Turn of the program at which it begins; below 0: seconds after the start was asked for, times -1. */
  at: number;
  seconds: number;
  /** One of the rows recorded after it began must match; null: nothing has to be recorded. */
  must: RegExp | null;
  /** What a stop or wait recorded after it may say. */
  may: RegExp | null;
  begin(world: CaseWorld): void;
  /** Every so often while it lasts. */
  during?(world: CaseWorld): void;
  end(world: CaseWorld): void;
}

export type Draw = () => number;
export type Made = Pick<Incident, 'name' | 'seconds' | 'must' | 'may' | 'begin' | 'end'> &
  Pick<Partial<Incident>, 'during'>;

/** Seconds from the stop being asked for to the last step, with what the line and a report interval take. */
export const EASED = 0.5 + 0.35;
export const AT_ONCE = 0.011;
export const ANY_LINE =
  /without being asked|another program|line to the stand|too many errors on the line|silent|ended the link|restarted|does not|cannot be emptied|lost the place/;
export const nothing = (): void => {};
export const pick = <T>(random: Draw, list: readonly T[]): T => list[Math.floor(random() * list.length)]!;

export function forced(input: keyof StandInputs, must: RegExp, seconds: number, rest: number): Made {
  return {
    name: input,
    seconds,
    must,
    may: must,
    begin(world) {
      world.stand.force(input, true);
      world.oracle.mustRest(rest, input);
    },
    end: (world) => world.stand.force(input, null),
  };
}

export function line(name: string, faults: readonly Fault[], random: Draw): Made {
  const seed = Math.floor(random() * 2 ** 31);
  const share = 0.02 + 0.4 * random() ** 2;
  return {
    name: `line: ${name} ${share.toFixed(2)}`,
    seconds: 0.3 + 5 * random(),
    must: null,
    may: ANY_LINE,
    begin: (world) => world.host.line.damage(seed, faults, share),
    end: (world) => world.host.line.mend(),
  };
}

export function order(name: string, must: RegExp, commands: readonly string[]): Made {
  return {
    name,
    seconds: 0,
    must,
    may: must,
    begin(world) {
      for (const command of commands) world.ask(command);
    },
    end: nothing,
  };
}

export function slip(name: string, degrees: number, must: RegExp | null): Made {
  return {
    name,
    seconds: 0,
    must,
    may: must,
    begin(world) {
      world.stand.slip('turntable', degrees);
      world.oracle.slipped((degrees / 360) * 36_160.5);
    },
    end: nothing,
  };
}
