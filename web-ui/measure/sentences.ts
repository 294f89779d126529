/** The sentences this page leads with; pure. */
import type { Figure } from '../../planner/figure/types';
import { inUnit, nmWords } from '../plan/plan-words';
import { type LengthUnit, plural } from '../words';
import { isEmpty, type MeasureDraft } from './draft';
import type { Judged } from './judge';

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
  'highest under': 'over the highest true curve under the surface',
  'most of the area': 'over the true curve that most of the area lies on',
  'same vertex radius': 'against the curve with the same radius at the vertex',
} as const;

export function numbersWords(figure: Figure): string {
  const { pvNm, rmsNm, reference, wavefrontPvWaves, wavelengthNm, strehl } = figure;
  return (
    `${nmWords(pvNm)} from high to low, ${nmWords(rmsNm)} rms, ${REFERENCE_WORDS[reference]}: a wavefront of ` +
    `${wavefrontPvWaves.toFixed(2)} wave at ${wavelengthNm.toFixed(0)} nm, Strehl ${strehl.toFixed(2)}.`
  );
}

/** Which takes the figure is made of, where not all are. */
export function countedWords(draft: MeasureDraft, { counted, begun, complaints }: Judged): string | null {
  if (draft.kind === 'file' || counted.length === 0 || counted.length === draft.takes.length) return null;
  const of = `From ${counted.length} of ${draft.takes.length} takes`;
  if (complaints.length > 0) return `${of}: what is to be mended is left out.`;
  return begun.length > 0 ? `${of}: the others are not complete yet.` : `${of}.`;
}
