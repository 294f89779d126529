/** Where the shape of what was taken off disagreed with the forecast, and what opticians look at first then. */
import type { Glass } from '../shelf/types';

interface Disagreement {
  radiusMm: readonly number[];
  shapeResidualNm: readonly number[];
  shapeBandNm: readonly number[];
}

/** The misfit must be this many times what the noise explains before a cause is looked for. */
const DISAGREES = 2;
/** Less than this, or than this share of the largest difference, is not spoken of. */
const LEAST_NM = 4;
const WEIGHTY = 0.3;
const RIM_SHARE = 0.9;
const MIDDLE_SHARE = 0.25;

/** Sentences; empty where noise explains the difference. The causes are common practice, no source. */
export function causesOf(
  { radiusMm, shapeResidualNm, shapeBandNm }: Disagreement,
  forecast: { radiusMm: readonly number[]; removalNm: readonly number[] },
  glass: Glass,
  misfit: number,
): string[] {
  if (misfit < DISAGREES) return [];
  const rimMm = glass.clearApertureMm / 2;
  const causes: string[] = [];
  const largest = Math.max(...shapeResidualNm.map(Math.abs));
  const beyond = (i: number): number => shapeResidualNm[i]! / Math.max(1, shapeBandNm[i]!);
  const strongest = (inside: (r: number) => boolean): number => {
    let best = -1;
    radiusMm.forEach((r, i) => {
      if (inside(r) && (best < 0 || Math.abs(beyond(i)) > Math.abs(beyond(best)))) best = i;
    });
    return best;
  };
  const say = (i: number, where: string, more: string, less: string): void => {
    if (i < 0 || Math.abs(beyond(i)) < 1 || Math.abs(shapeResidualNm[i]!) < Math.max(LEAST_NM, WEIGHTY * largest))
      return;
    const by = Math.abs(shapeResidualNm[i]!).toFixed(0);
    causes.push(
      shapeResidualNm[i]! > 0
        ? `${where} lost ${by} nm more than forecast: ${more}`
        : `${where} lost ${by} nm less than forecast: ${less}`,
    );
  };
  say(
    strongest((r) => r >= RIM_SHARE * rimMm),
    'The rim',
    'the lap presses harder where it hangs over; keep it further in, or look whether its pitch is softer than thought.',
    'the lap does not reach as far as set, or its edge is not in contact.',
  );
  say(
    strongest((r) => r <= MIDDLE_SHARE * rimMm),
    'The middle',
    'look at the setting radius and whether the glass had come to rest: a warm glass is bulged.',
    'the glass may not have been at rest, or the lap bridges the middle.',
  );
  const peak = forecast.radiusMm[forecast.removalNm.indexOf(Math.max(...forecast.removalNm))] ?? 0;
  const inner = strongest((r) => r > MIDDLE_SHARE * rimMm && r < peak);
  const outer = strongest((r) => r < RIM_SHARE * rimMm && r > peak);
  if (
    inner >= 0 &&
    outer >= 0 &&
    beyond(inner) * beyond(outer) < 0 &&
    Math.abs(beyond(inner)) + Math.abs(beyond(outer)) > 2
  ) {
    const side = beyond(inner) > 0 ? 'inner' : 'outer';
    causes.push(
      `The ${side} side of the worked zone lost more than the other: the lap leans to it. Look at the height of the pivot, at the setting radius and at how square the arm stands.`,
    );
  }
  if (causes.length === 0)
    causes.push('The shape disagrees, but nowhere in particular: look at the measurement and at the pitch.');
  return causes;
}
