/** What an incident may lay hands on. */
import type { FaultyStand } from './faulty-stand';
import type { Host } from './host';
import type { Oracle } from './oracle';

export interface CaseWorld {
  readonly stand: FaultyStand;
  readonly oracle: Oracle;
  /** The host at work; after a kill the one that was begun since. */
  readonly host: Host;
  now(): number;
  /** Turns walked at full speed in so many seconds. */
  turnsIn(seconds: number): number;
  /** A person gives an order; refusals are fine. */
  /** True if it was taken. */
  ask(command: string): boolean;
  /** The stand's time goes on, the host's does not. */
  stall(seconds: number): void;
  startHost(): void;
  after(seconds: number, act: () => void): void;
  discFull(full: boolean): void;
  jumpClock(ms: number): void;
}
