/** The remainders of a forecast as sentences, each with the limit above which it warns. */
import { REMAINDER_LIMITS } from './remainders';
import type { Remainder, StintForecast } from './types';

export function remaindersOf(
  stints: readonly StintForecast[],
  lapPatternNm: number,
  rippleNm: number,
  azimuthOrdersNm: number,
): Remainder[] {
  const most = (of: (stint: StintForecast) => number): number => Math.max(0, ...stints.map(of));
  const crowding = most((stint) => stint.reversalCrowding);
  const misfit = most((stint) => stint.clockingMisfitNm);
  const reversals = stints.reduce((sum, stint) => sum + stint.reversals, 0);
  return [
    remainder(
      'reversal crowding',
      crowding,
      'x mean',
      REMAINDER_LIMITS.reversalCrowding,
      (over) =>
        `The stroke turns round ${reversals} times; the densest lap's width of the ring sees ${crowding.toFixed(2)} times the mean.` +
        (over ? ' Lap marks will gather there: choose another number of turns or strokes.' : ''),
    ),
    remainder(
      'lap pattern',
      lapPatternNm,
      'nm',
      REMAINDER_LIMITS.lapPatternNm,
      (over) =>
        `Facets and points leave a pattern of ${lapPatternNm.toFixed(1)} nm from its highs to its lows.` +
        (over ? ' Clock the lap more often, or by an angle that visits more orientations.' : ''),
    ),
    remainder(
      'ripple',
      rippleNm,
      'nm',
      REMAINDER_LIMITS.rippleNm,
      (over) =>
        `The settings leave a ripple of ${rippleNm.toFixed(1)} nm at their spacing.` +
        (over ? ' Set them closer together or blend with wider ellipses.' : ''),
    ),
    remainder(
      'clocking misfit',
      misfit,
      'nm',
      REMAINDER_LIMITS.clockingMisfitNm,
      (over) =>
        `On this curve a clocked lap stands off by up to ${misfit.toFixed(0)} nm until the pitch has followed.` +
        (over ? ' Press the lap again after clocking, or use a smaller one.' : ''),
    ),
    remainder(
      'azimuth orders 1 to 4',
      azimuthOrdersNm,
      'nm',
      REMAINDER_LIMITS.azimuthOrdersNm,
      (over) =>
        `Round the glass the strokes themselves leave ${azimuthOrdersNm.toFixed(2)} nm in the orders 1 to 4. ` +
        'This says nothing about astigmatism from support, tilt or heat.' +
        (over ? ' Walk whole turns, or let blends fall on different azimuths.' : ''),
    ),
  ];
}

function remainder(
  name: Remainder['name'],
  value: number,
  unit: Remainder['unit'],
  limit: number,
  words: (over: boolean) => string,
): Remainder {
  const warns = value > limit;
  return { name, value, unit, limit, warns, words: words(warns) };
}
