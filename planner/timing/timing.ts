/**
 * How fast a path is walked: at the program's turntable speed between ramps, checked against every axis's limits beforehand. A program
 * that an axis cannot follow gets no law but complaints that say which rate would fit.
 */
import type { Path } from '../path/types';
import type { Program } from '../program/types';
import type { Stand } from '../stand/types';
import { RestToRest } from './law';
import { checkLimits } from './limits';
import type { LimitComplaint, TimeLaw } from './types';

/**
 * @param fromTurns where the walk starts (going on after a stop), 0 <= fromTurns < toTurns
 * @param toTurns where it comes to rest for good (a stop at the end of a turn), at most path.turns; up to the last ramp it is the same
 *   walk as the one to the path's end
 */
export function planTime(
  path: Path,
  program: Program,
  stand: Stand,
  fromTurns = 0,
  toTurns = path.turns,
): { law: TimeLaw | null; complaints: LimitComplaint[] } {
  if (!(fromTurns >= 0 && fromTurns < toTurns && toTurns <= path.turns)) return { law: null, complaints: [] };
  const rests = path.rests.map(({ turns }) => turns).filter((turns) => turns > fromTurns && turns < toTurns);
  const stops = [fromTurns, ...rests, toTurns];
  const law = new RestToRest(stops, program.turntableRpm / 60, stand.rampSeconds);
  const complaints = checkLimits(path, program, stand, law);
  return { law: complaints.length === 0 ? law : null, complaints };
}
