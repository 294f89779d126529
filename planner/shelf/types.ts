/** What an optician keeps on the shelf: glasses, laps, slurries. Heights in nm, lengths in mm, forces in N. */

export interface Glass {
  id: string;
  title: string;
  diameterMm: number;
  /** Diameter of the optically used area; at most diameterMm - 2 * bevelMm. */
  clearApertureMm: number;
  bevelMm: number;
  /** Diameter of a central hole, 0 if none. */
  holeMm: number;
  /** Vertex radius of curvature of the wanted figure, positive for a concave glass. */
  radiusOfCurvatureMm: number;
  /** Conic constant K of the wanted figure (-1 paraboloid, 0 sphere). */
  conicConstant: number;
  material: string;
  thicknessMm: number;
}

/** Outline of the lap's contact face, in the lap's own frame; the star's first point lies on its +x axis. */
export type LapOutline =
  | { shape: 'round'; diameterMm: number }
  /** `depthMm`: how far the rim is cut back between the points; contact thins outward. */
  | { shape: 'star'; diameterMm: number; points: number; depthMm: number };

export interface Lap {
  id: string;
  title: string;
  outline: LapOutline;
  /** Square facets cut into the pitch; null for a plain face. Offset of the pattern from the lap's centre. */
  facets: { pitchMm: number; channelMm: number; offsetXMm: number; offsetYMm: number } | null;
  /** Everything that presses the lap on the glass: put-on load, the lap's own weight and the arm's. */
  load: { addedN: number; lapWeightN: number; armWeightN: number };
  /** Height above the glass at which the pivot pushes the lap; friction acting below it tilts the pressure. */
  pivotHeightMm: number;
  /** Sliding friction of pitch and slurry on glass, dimensionless. */
  friction: number;
  /** driven: the lapTurn axis holds or turns it; free: it turns as friction will have it. */
  rotation: 'driven' | 'free';
}

export interface Slurry {
  id: string;
  title: string;
  /** How long one re-charge stays wet, minutes of work. */
  wetMinutes: number;
}

export interface Shelf {
  glasses: Record<string, Glass>;
  laps: Record<string, Lap>;
  slurries: Record<string, Slurry>;
}
