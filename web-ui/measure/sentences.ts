/** The sentences this page leads with; pure. */
import type { Figure } from '../../planner/figure/types';
import type { LearnReport } from '../../planner/learn/learn-run';
import { inUnit, nmWords } from '../plan/plan-words';
import { type LengthUnit, lengthWords, plural } from '../words';
import { isEmpty, type MeasureDraft } from './draft';
import type { Judged } from './judge';
import type { ShownPlan } from './suggested';

/** What stands at the top: what the glass is like, else what keeps it from being known. */
export function headline(draft: MeasureDraft, judged: Judged, figure: Figure | null, unit: LengthUnit): string {
  if (figure) return inUnit(figure.findings[0]?.words ?? numbersWords(figure), unit);
  const { complaints, measurement, begun } = judged;
  if (measurement) return 'Reckoning …';
  if (draft.kind === 'readings' && isEmpty(draft) && complaints.length === 0)
    return 'Measure, and see what the glass needs';
  if (complaints.length > 0) return `The figure waits: ${plural(complaints.length, 'thing')} to mend`;
  const missing = Math.min(...begun.map((take) => take.missing));
  if (Number.isFinite(missing)) return `${plural(missing, 'reading')} to go`;
  if (draft.kind === 'readings' && draft.source === null) return 'Say whether the source moves with the knife';
  return 'Read the windows, one after the other';
}

/** The other findings, in the unit that is chosen. */
export function otherFindings(figure: Figure, unit: LengthUnit): string[] {
  return figure.findings.slice(1).map(({ words }) => inUnit(words, unit));
}

const REFERENCE_WORDS = {
  'best fit': 'against the best fit',
  'highest under': 'over the lowest zones',
  'most of the area': 'against most of the area',
  'same vertex radius': 'against the curve with the same radius at the vertex',
} as const;

/** How good the surface is, against its best fit as in every suggestion, whatever the drawing counts from. */
export function numbersWords({ bestFit, wavelengthNm, strehl }: Figure): string {
  const waves = (2 * bestFit.pvNm) / wavelengthNm;
  return (
    `${nmWords(bestFit.pvNm)} from high to low, ${nmWords(bestFit.rmsNm)} rms, against the best fit: a wavefront of ` +
    `${waves.toFixed(2)} wave at ${wavelengthNm.toFixed(0)} nm, Strehl ${strehl.toFixed(2)}.`
  );
}

/** The place that is named in the drawing, with the curve it is counted from. */
export function peakWords({ reference }: Figure, heightNm: number, radiusMm: number, unit: LengthUnit): string {
  return `${nmWords(heightNm)} at ${lengthWords(radiusMm, unit)}, ${REFERENCE_WORDS[reference]}`;
}

/** Which takes the figure is made of, where not all are. */
export function countedWords(draft: MeasureDraft, { counted, begun, complaints }: Judged): string | null {
  if (draft.kind === 'file' || counted.length === 0 || counted.length === draft.takes.length) return null;
  const of = `From ${counted.length} of ${draft.takes.length} takes`;
  if (complaints.length > 0) return `${of}: what is to be mended is left out.`;
  return begun.length > 0 ? `${of}: the others are not complete yet.` : `${of}.`;
}

/** What is held of the lap for the next run; a run that was refused leaves it as it was. */
export function coefficientWords(lapTitle: string, { kPerPa, kSigma, runs, refused }: LearnReport): string {
  const k = `${kPerPa.toExponential(2)} /Pa`;
  const sure = `to ${(100 * kSigma).toFixed(0)} %`;
  if (runs === 0) return `${lapTitle}: it stays at ${k} as published, ${sure}; nothing is learned yet.`;
  const from = `from ${plural(runs, 'measured run')}`;
  return refused === null
    ? `${lapTitle}: ${k} for the next run, ${sure}, ${from}.`
    : `${lapTitle}: it stays at ${k}, ${sure}, ${from}.`;
}

const NAMES = { suggested: 'Suggested', gentlest: 'Gentlest', quickest: 'Quickest', 'test run': 'Test run' } as const;

/** "Suggested, and the quickest": what a plan is called that is more than one. */
export function planTitle([first, ...others]: ShownPlan['names']): string {
  return [NAMES[first], ...others.map((name) => `the ${name}`)].join(', and ');
}
