/** Gives a run somebody who looks after the accessories of its stand, where it has any. */
import { Attendant, type AttendantOptions } from '../accessories/attendant';
import type { Kit } from '../accessories/kit';
import type { HostClock } from '../stand/clock';
import type { SimulatedStand } from '../virtual/simulated-stand';
import type { RunPlan } from './plan';
import type { SerialRun } from './serial-run';
import type { VirtualRun } from './virtual-run';

/** Rejects where the controller does not answer for its accessory pins. */
export async function attendIron(plan: RunPlan, run: SerialRun, clock: HostClock): Promise<Attendant | null> {
  const { accessories } = plan.stand;
  if (accessories === undefined) return null;
  // johnny-five is large; a stand without accessories does not wait for it.
  const { fiveKit } = require('../accessories/five-kit') as typeof import('../accessories/five-kit');
  const { conductor, link } = run;
  return attend({ accessories, plan, conductor, clock, kit: await fiveKit(link, accessories, clock) }, run);
}

export function attendVirtual(plan: RunPlan, run: VirtualRun<SimulatedStand>, kit: Kit): Attendant | null {
  const { accessories } = plan.stand;
  if (accessories === undefined) return null;
  const { conductor, simulation } = run;
  return attend({ accessories, plan, conductor, clock: simulation.clock, kit }, run);
}

function attend(options: AttendantOptions, { link }: Pick<SerialRun, 'link'>): Attendant {
  const attendant = new Attendant(options);
  link.onStatus((status) => attendant.report(status));
  return attendant;
}
