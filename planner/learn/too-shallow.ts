/**
 * When a run teaches nothing: what it took off must be more than what its own measurements may be off by.
 *
 * Taken off is ratio x forecast, known to one standard deviation; it teaches from three of them on. Noise alone comes that far in one
 * of 700 runs that took off nothing, and a coefficient known to a third is the least that helps. What falls out are the low results of
 * shallow runs, the negative ones with them; so the mean of those that are kept lies a little high where runs are near the limit. A
 * coefficient held for too high makes the next run work less of the depth, never more.
 */
import type { RunEvidence } from './types';

/** So many standard deviations must have come off. */
export const LEAST_DEVIATIONS = 3;
/** Glass does not grow: below minus so many standard deviations it is a mistake and no noise. */
const GREW_DEVIATIONS = 2;

/** Why nothing is learned from what a run says by itself, and what to do; null where it teaches. */
export function tooShallow(
  evidence: Pick<RunEvidence, 'ratio' | 'kPerPa' | 'kSigmaPerPa'>,
  run: { forecastPeakNm: number; turns: number; assumedKPerPa: number; heldKPerPa: number },
): string | null {
  const { ratio } = evidence;
  const sigma = evidence.kSigmaPerPa / run.assumedKPerPa;
  if (ratio >= LEAST_DEVIATIONS * sigma) return null;
  const removedNm = ratio * run.forecastPeakNm;
  const sigmaNm = sigma * run.forecastPeakNm;
  if (ratio < -GREW_DEVIATIONS * sigma)
    return (
      `Not learned from: the glass seems to have grown by ${nm(-removedNm)} where it was worked, read to ±${nm(sigmaNm)}. ` +
      'Look whether these two measurements belong to this run, whether they are the right way round, and whether the glass was at rest.'
    );
  const wanted = Math.max(
    2 * run.turns,
    (run.turns * LEAST_DEVIATIONS * sigmaNm * run.assumedKPerPa) / (run.forecastPeakNm * run.heldKPerPa),
  );
  const more = Math.max(1, Math.round(wanted - run.turns));
  return (
    `Too shallow to learn from: ${removedNm > 0 ? nm(removedNm) : 'nothing'} came off at the deepest place, read to ±${nm(sigmaNm)}; ` +
    `${LEAST_DEVIATIONS} times that is needed. Work about ${more} turns more between two measurements, ` +
    'or read more takes before and after.'
  );
}

/** What is said of a run whose shape leaves nothing to compare. */
export const NO_SHAPE = 'The run took off too little, or nothing but a change of focus: it teaches nothing.';

function nm(value: number): string {
  return `${Math.abs(value) < 9.95 ? Number(value.toFixed(1)) + 0 : value.toFixed(0)} nm`;
}
