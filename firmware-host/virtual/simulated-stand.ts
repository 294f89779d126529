import type { BytePipe } from '../stand/byte-pipe';
import type { LapPlace } from './glass/under-lap';
import type { Simulated } from './simulation';

/** A stand without iron: what a run needs of it, beside a time that someone else advances. */
export interface SimulatedStand extends Simulated {
  /** What people are told it is. */
  readonly words: string;
  readonly virtual: true;
  /** The line to the host. After `unplug` there is another. */
  readonly pipe: BytePipe;
  unplug(): void;
  /** Where the mechanism has lap and turntable; what turns in parts of a turn past its mark. Asked a hundred times a second. */
  lapPlace(): LapPlace;
}
