/** Lets a simulation go on with the clock on the wall, or some times faster. */
import type { HostClock } from '../stand/clock';
import type { Simulation } from './simulation';

const INTERVAL_SECONDS = 0.01;
/** A process that was held up longer than this does not make up for it: the stand's time simply stood still meanwhile. */
const MAX_LAG_SECONDS = 0.25;

/**
 * Advances `simulation` by `factor` (> 0) seconds for every second of `clock` until the returned function is called. Where the
 * machine cannot keep up the simulation runs as fast as it can.
 */
export function runInRealTime(simulation: Simulation, factor: number, clock: HostClock): () => void {
  let last = clock.now();
  let cancel = (): void => {};
  const step = (): void => {
    const now = clock.now();
    const lag = Math.min(MAX_LAG_SECONDS, now - last);
    last = now;
    cancel = clock.after(INTERVAL_SECONDS, step);
    simulation.advance(lag * factor);
  };
  cancel = clock.after(INTERVAL_SECONDS, step);
  return () => cancel();
}
