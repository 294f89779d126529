/** What a run did to the virtual glass under it: how the glass was before, how it is since, and that in words. */
import type { Glass } from '../../../planner/shelf/types';
import { amplitudes, HIGHEST_ORDER, meanOf } from './round';
import type { GlassState, VirtualGlass } from './virtual-glass';

export interface WornGlass {
  /** When the run began. */
  before: GlassState;
  /** When it last came to rest. */
  after: GlassState;
}

/** Follows one glass through the runs that are made on it. */
export class RunsOnGlass {
  private runId: string | null = null;
  private before: GlassState;

  constructor(private readonly glass: VirtualGlass) {
    this.before = glass.state;
  }

  /** To be called at each change of a run; a run that is gone on with keeps its beginning. */
  at(runId: string | null): WornGlass {
    if (runId !== this.runId) {
      this.runId = runId;
      this.before = this.glass.state;
    }
    return { before: this.before, after: this.glass.state };
  }
}

/** As a page draws it. */
export interface WhatItDid {
  glassTitle: string;
  radiusMm: number[];
  /** Mean height round the glass above the asked conic, nm. */
  beforeNm: number[];
  afterNm: number[];
  words: string;
}

const PAGE_STEP = 2;
/** Out of round by less than this, nm, is not spoken of. */
const SPOKEN_NM = 1;
const ORDER_WORDS = ['', 'tilted', 'bent like a saddle (astigmatism)', 'three-cornered', 'four-cornered'];

/** Null where nothing was taken off. Rings are 1 mm apart. */
export function whatItDid(glass: Glass, { before, after }: WornGlass): WhatItDid | null {
  const [beforeNm, afterNm] = [meanOf(before.heightNm), meanOf(after.heightNm)];
  const radii = Array.from(beforeNm, (_, r) => r).filter(
    (r) => 2 * r >= glass.holeMm && 2 * r <= glass.clearApertureMm,
  );
  const taken = (r: number): number => beforeNm[r]! - afterNm[r]!;
  const most = radii.reduce((best, r) => (taken(r) > taken(best) ? r : best), radii[0]!);
  if (!(taken(most) > 0)) return null;
  const span = (heights: Float64Array): string => {
    const shown = radii.map((r) => heights[r]!);
    return (Math.max(...shown) - Math.min(...shown)).toFixed(0);
  };
  const shown = radii.filter((r) => r % PAGE_STEP === 0);
  const rounded = (heights: Float64Array): number[] => shown.map((r) => Number(heights[r]!.toFixed(2)));
  return {
    glassTitle: glass.title,
    radiusMm: shown,
    beforeNm: rounded(beforeNm),
    afterNm: rounded(afterNm),
    words:
      `It took off most at ${most} mm: ${taken(most).toFixed(0)} nm. From high to low the mean round the glass was ` +
      `${span(beforeNm)} nm and is ${span(afterNm)} nm now.${outOfRound(before, after)}`,
  };
}

function outOfRound(before: GlassState, after: GlassState): string {
  const change = after.heightNm.map((height, i) => height - before.heightNm[i]!);
  for (let m = HIGHEST_ORDER, most = SPOKEN_NM, words = ''; ; m--) {
    if (m === 0) return words;
    const amplitude = Math.max(...amplitudes(change, m));
    if (amplitude > most) {
      most = amplitude;
      words = ` It did not wear evenly round the glass: it left it ${ORDER_WORDS[m]}, by ${(2 * amplitude).toFixed(0)} nm from high to low.`;
    }
  }
}
