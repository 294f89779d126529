/** What an incident may lay hands on. */
import type { VirtualStand } from '../../firmware-host/virtual/virtual-stand';
import type { Host } from './host';
import type { Oracle } from './oracle';

export interface CaseWorld {
  readonly stand: VirtualStand;
  readonly oracle: Oracle;
  /** The host at work; after a kill the one that was begun since. */
  readonly host: Host;
  now(): number;
  /** Turns walked at full speed in so many seconds. */
  turnsIn(seconds: number): number;
  /** A person gives an order; refusals are fine. */
  ask(command: string): void;
  /** The stand's time goes on, the host's does not. */
  stall(seconds: number): void;
  startHost(): void;
  after(seconds: number, act: () => void): void;
  discFull(full: boolean): void;
  jumpClock(ms: number): void;
}
