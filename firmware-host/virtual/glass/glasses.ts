/**
 * The virtual glasses of one launch: each glass of the shelf that is worked on the virtual stand gets a hidden truth and a start
 * figure once, and keeps what was taken off it from program to program. Nothing of it outlives the launch.
 */
import type { Glass } from '../../../planner/shelf/types';
import { drawTruth, type GlassTruth, type Random } from './truth';
import { type GlassState, startState } from './virtual-glass';

/** Everything about one virtual glass, as plain data: it is handed from thread to thread. */
export interface VirtualGlassData {
  glass: Glass;
  truth: GlassTruth;
  state: GlassState;
}

export class VirtualGlasses {
  private readonly known = new Map<string, VirtualGlassData>();

  /** @param kPerPa what the books say of the coefficient */
  constructor(
    private readonly random: Random,
    private readonly kPerPa: number,
  ) {}

  of(glass: Glass): VirtualGlassData {
    // Glasses written out in a program may share a name and not a shape.
    const key = JSON.stringify(glass);
    const known = this.known.get(key);
    if (known) return known;
    const data = {
      glass,
      truth: drawTruth(this.random, this.kPerPa),
      state: startState(glass, drawFigure(this.random, glass)),
    };
    this.known.set(key, data);
    return data;
  }

  /** The glass was worked, or rested. */
  keep(glass: Glass, state: GlassState): void {
    this.of(glass).state = state;
  }
}

/** Of the radius: where the ring stands, and half its width at the foot. Values of this project's demo. */
const RING_AT = 0.6;
const RING_HALF_WIDTH = 0.28;
const RING_NM = 34;

/** A glass that wants the demo's program: a raised ring at 60 % of the radius, a little different each time. */
export function drawFigure(random: Random, glass: Glass): (rMm: number) => number {
  const rimMm = glass.diameterMm / 2;
  const about = (value: number, share: number): number => value * (1 + share * (2 * random() - 1));
  const atMm = about(RING_AT, 0.03) * rimMm;
  const halfMm = about(RING_HALF_WIDTH, 0.1) * rimMm;
  const highNm = about(RING_NM, 0.15);
  return (r) => {
    const x = (r - atMm) / halfMm;
    return Math.abs(x) < 1 ? highNm * Math.cos((Math.PI / 2) * x) ** 2 : 0;
  };
}
