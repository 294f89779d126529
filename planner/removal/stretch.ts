/** What a stretch of a program's path takes off: for saying what walking it once more would do to the glass. */
import type { Path } from '../path/types';
import type { Program } from '../program/types';
import { mapOf, removalOrders } from './map';
import { prepareRemoval } from './removal';

/** Cells of ten degrees: a stretch is told by its deepest place, which is as wide as the lap. */
const AZIMUTHS = 36;
const RING_STEP_MM = 2;
const POINT_STEP_MM = 4;

/**
 * Depth in nm at the deepest place of the glass that the strokes touching `fromTurns..toTurns` take off, as the forecast of the program
 * has it (a stroke that is touched counts whole, so the figure is rather too large). 0 for a stretch of no length.
 * @throws RemovalRefused where the work cannot be forecast
 */
export function deepestOfStretch(
  program: Pick<Program, 'lap' | 'glass'>,
  path: Path,
  kPerPa: number,
  fromTurns: number,
  toTurns: number,
): number {
  const stints = path.stints.filter((stint) => stint.fromTurns < toTurns && stint.toTurns > fromTurns);
  if (!(toTurns > fromTurns) || stints.length === 0) return 0;
  const { lap, glass } = program;
  const part: Path = {
    turns: path.turns,
    stints,
    rests: path.rests,
    at: (u) => path.at(u),
    sample: (u, out) => path.sample(u, out),
    derivatives: (u, out) => path.derivatives(u, out),
  };
  const removal = prepareRemoval({
    path: part,
    lap,
    glass,
    kPerPa,
    ringStepMm: RING_STEP_MM,
    pointStepMm: POINT_STEP_MM,
  });
  const strokes = removal.strokes.filter(({ from, to }) => from < toTurns && to > fromTurns);
  const { depthNm } = mapOf(removalOrders({ ...removal, strokes }, AZIMUTHS, AZIMUTHS / 2));
  return depthNm.reduce((deepest, depth) => Math.max(deepest, depth), 0);
}
