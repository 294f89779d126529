/** One piece of work to forecast. */
import type { Path } from '../path/types';
import type { Glass, Lap } from '../shelf/types';
import type { PressureLaw } from './contact';

export const RING_STEP_MM = 0.5;

export interface RemovalTask {
  path: Path;
  lap: Lap;
  glass: Glass;
  /** Preston's coefficient, 1/Pa. */
  kPerPa: number;
  /** Where to stop; the whole path if absent. */
  untilTurns?: number;
  /** How the lap presses off the rim; balanced if absent. */
  pressureLaw?: PressureLaw;
  /** Distance of the rings, 0.5 mm if absent. */
  ringStepMm?: number;
  /** Largest distance of two points along a stroke, mm; 1.25 if absent (3.3 for a star, whose rim is soft). */
  pointStepMm?: number;
}
