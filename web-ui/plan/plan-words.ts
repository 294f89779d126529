/** The sentences of the Plan page; pure, so that each can be tested. */
import { depthAtNm, peakIndex, widthHoldingMm } from '../../planner/removal/profile-measures';
import type { RimReport, StintForecast } from '../../planner/removal/types';
import { type LengthUnit, lengthWords, plural, timeWords } from '../words';
import type { StintDraft } from './draft';
import type { Forecast, Geared, Offer, Ring } from './forecast';

export function nmWords(nm: number): string {
  return `${Math.abs(nm) < 9.95 ? nm.toFixed(1) : nm.toFixed(0)} nm`;
}

/** The planner speaks in millimetres; a person who measures in inches reads inches. */
export function inUnit(sentence: string, unit: LengthUnit): string {
  if (unit === 'mm') return sentence;
  return sentence.replace(/(-?\d+(?:\.\d+)?) mm(\/s2?)?(?!\w)/g, (_, number: string, per = '') => {
    const inches = Number(number) / 25.4;
    const digits = Math.abs(inches) < 0.01 ? 5 : Math.abs(inches) < 0.1 ? 3 : 2;
    return `${Number(inches.toFixed(digits))} in${per}`;
  });
}

export function headline(forecast: Forecast | null, turns: number, complaints: number, unit: LengthUnit): string {
  if (complaints > 0)
    return `${plural(turns, 'turn')} that cannot be worked yet: ${plural(complaints, 'thing')} to mend`;
  if (!forecast?.profile || forecast.durationSeconds === null) return 'Reckoning …';
  const { stepMm, depthNm } = forecast.profile;
  const peak = peakIndex(forecast.profile);
  const where = lengthWords(peak * stepMm, unit);
  return `Takes ${nmWords(depthNm[peak]!)} off at ${where}, in ${plural(turns, 'turn')} and ${timeWords(forecast.durationSeconds)}`;
}

/** What a person should know at first sight besides the depth; each a sentence, most often none. */
export function noteWords(forecast: Forecast | null, whole: Forecast | null): string[] {
  if (!forecast?.profile) return [];
  const notes: string[] = [];
  const uneven = Object.entries(forecast.geared).flatMap(([number, geared]) =>
    geared && geared.evenness < 0.7 ? [number] : [],
  );
  if (uneven.length > 0)
    notes.push(`Uneven round the glass: stint${uneven.length === 1 ? '' : 's'} ${uneven.join(', ')}. See Evenness.`);
  const rests = (reason: Forecast['rests'][number]['reason']): number =>
    forecast.rests.filter((rest) => rest.reason === reason).length;
  const byHand = rests('hand clocking');
  if (byHand > 0) notes.push(`It rests ${plural(byHand, 'time')} for you to turn the lap.`);
  const changes = rests('pattern change');
  if (changes > 0)
    notes.push(`It rests ${plural(changes, 'time')} where the pattern changes too much to be blended while stroking.`);
  const left = whole?.prediction?.remainders.filter(({ warns }) => warns).map(({ name }) => name) ?? [];
  if (left.length > 0) notes.push(`Too much stays behind: ${left.join(', ')}.`);
  return notes;
}

/** Two short lines for the card of a stint. */
export function cardWords(stint: StintDraft, unit: LengthUnit): { first: string; second: string } {
  const shape = stint.shape === 'straight' ? 'straight' : 'elliptical';
  const nudged = stint.nudged ? ', nudged' : '';
  return {
    first: plural(stint.turns, 'turn'),
    second: `${shape} ${lengthWords(stint.lengthMm, unit)} at ${lengthWords(stint.settingMm, unit)}${nudged}`,
  };
}

const SEEN = {
  left: 'Left rim of the lap',
  right: 'Right rim of the lap',
  far: 'Far rim of the lap',
  near: 'Near rim of the lap',
  middle: 'Middle of the lap',
} as const;

export interface RimWords {
  name: string;
  where: string;
  depth: string;
  edge: string;
}

/** The three places of the rim-and-middle report, in the order in which the person sees them from left to right. */
export function rimWords(stint: StintForecast, unit: LengthUnit): RimWords[] {
  const words = (rim: RimReport, side: 'inner' | 'outer' | 'middle'): RimWords => {
    const beyond = rim.radiusMm < 0 ? ', beyond the middle of the glass' : '';
    return {
      name: SEEN[rim.seen],
      where: `${side === 'middle' ? 'at' : `${side}, at`} ${lengthWords(Math.abs(rim.radiusMm), unit)}${beyond}`,
      depth: nmWords(rim.depthNm),
      edge: edgeWords(rim, side, unit),
    };
  };
  const inner = words(stint.innerRim, 'inner');
  const outer = words(stint.outerRim, 'outer');
  const middle = words(stint.middle, 'middle');
  return stint.innerRim.seen === 'right' ? [outer, middle, inner] : [inner, middle, outer];
}

function edgeWords(rim: RimReport, side: 'inner' | 'outer' | 'middle', unit: LengthUnit): string {
  if (side === 'middle') {
    return rim.width1090Mm === null ? '' : `within a tenth of the depth over ${lengthWords(rim.width1090Mm, unit)}`;
  }
  if (rim.width1090Mm === null)
    return side === 'inner' ? 'no flank: it works through the middle' : 'no flank: the edge cuts it off';
  return `flank of ${lengthWords(rim.width1090Mm, unit)}, from a tenth to nine tenths of the depth`;
}

/** What else there is to say of a stint's track. */
export function trackWords(stint: StintForecast, unit: LengthUnit): string {
  const sense =
    Math.abs(stint.senseShiftMm) >= 0.05
      ? ` Its sense moves that by ${lengthWords(Math.abs(stint.senseShiftMm), unit)} ${stint.senseShiftMm > 0 ? 'outward' : 'inward'}.`
      : '';
  return (
    `The lap touches a ring ${lengthWords(stint.contactSpanMm, unit)} wide; nine tenths of what it takes lie within ` +
    `${lengthWords(stint.width90Mm, unit)}, on average ${lengthWords(stint.centroidMm, unit)} from the middle.${sense}`
  );
}

export function evennessWords(geared: Geared, turns: number): string {
  const { evenness, strokes } = geared;
  const verdict = evenness >= 0.9 ? 'Even' : evenness >= 0.7 ? 'Even enough' : 'Uneven';
  return `${verdict} round the glass: ${evenness.toFixed(2)} of 1, with ${plural(strokes, 'stroke')} in ${plural(turns, 'turn')}.`;
}

export function ringWords({ counts }: Ring): string {
  const nudged = counts.nudged > 0 ? ` Nudged ends fall on ${plural(counts.nudged, 'azimuth')}.` : '';
  return `The strokes turn round at ${plural(counts.near, 'azimuth')} at their near end and ${counts.far} at their far end.${nudged}`;
}

export function offerWords({ strokes, evenness, even }: Offer): string {
  return `${plural(strokes, 'stroke')}, evenness ${evenness.toFixed(2)}${even ? '' : ', better but not even'}`;
}

/** What the rate came to where it is not the one asked for. */
export function gearedRateWords(geared: Geared, turntableRpm: number, wanted: number): string | null {
  const rate = geared.strokesPerTurn * turntableRpm;
  return Math.abs(rate - wanted) < 0.005
    ? null
    : `becomes ${rate.toFixed(2)} a minute: ${geared.strokes} whole strokes`;
}

export function gearedClockWords(geared: Geared, kind: StintDraft['clocking']): string | null {
  if (geared.clockingTurns === 0) return null;
  if (kind === 'steady') return `becomes ${geared.clockingTurns.toFixed(3)} turns`;
  const degrees = (360 * geared.clockingTurns).toFixed(1);
  return kind === 'steps' ? `becomes ${degrees}°, ${plural(geared.clockings, 'time')}` : null;
}

/** A forecast that was put aside to be compared with. */
export interface Pinned {
  profile: NonNullable<Forecast['profile']>;
  turns: number;
  durationSeconds: number;
  remainders: { name: string; value: number; unit: string }[] | null;
}

export function pinOf(forecast: Forecast, turns: number): Pinned | null {
  const { profile, durationSeconds, prediction } = forecast;
  if (profile === null || durationSeconds === null) return null;
  const remainders = prediction?.remainders.map(({ name, value, unit }) => ({ name, value, unit })) ?? null;
  return { profile, turns, durationSeconds, remainders };
}

/** Below these a difference is not worth a sentence. */
const SAME_NM = 0.1;
const SAME_MM = 0.5;

/** What is different now from what was pinned. */
export function differences(now: Pinned, before: Pinned, unit: LengthUnit): string[] {
  const list: string[] = [];
  const [peak, peakBefore] = [peakIndex(now.profile), peakIndex(before.profile)];
  const [depth, depthBefore] = [now.profile.depthNm[peak]!, before.profile.depthNm[peakBefore]!];
  const byNm = depth - depthBefore;
  if (Math.abs(byNm) >= SAME_NM)
    list.push(
      `${nmWords(Math.abs(byNm))} ${byNm > 0 ? 'deeper' : 'shallower'}: ${nmWords(depthBefore)} before, ${nmWords(depth)} now.`,
    );
  const byMm = peak * now.profile.stepMm - peakBefore * before.profile.stepMm;
  if (Math.abs(byMm) >= SAME_MM)
    list.push(`The deepest place lies ${lengthWords(Math.abs(byMm), unit)} further ${byMm > 0 ? 'out' : 'in'}.`);
  const [width, widthBefore] = [widthHoldingMm(now.profile, 0.9), widthHoldingMm(before.profile, 0.9)];
  if (Math.abs(width - widthBefore) >= SAME_MM)
    list.push(
      `${width > widthBefore ? 'Broader' : 'Narrower'}: nine tenths lie within ${lengthWords(width, unit)} instead of ${lengthWords(widthBefore, unit)}.`,
    );
  const most = mostDifferent(now, before);
  if (Math.abs(most.nm) >= Math.max(SAME_NM, 1.2 * Math.abs(byNm)))
    list.push(
      `Most different at ${lengthWords(most.mm, unit)}: ${nmWords(Math.abs(most.nm))} ${most.nm > 0 ? 'more' : 'less'} comes off there.`,
    );
  const byTurns = now.turns - before.turns;
  if (byTurns !== 0) list.push(`${plural(Math.abs(byTurns), 'turn')} ${byTurns > 0 ? 'more' : 'fewer'}.`);
  const bySeconds = now.durationSeconds - before.durationSeconds;
  if (Math.abs(bySeconds) >= 1) list.push(`${timeWords(Math.abs(bySeconds))} ${bySeconds > 0 ? 'longer' : 'shorter'}.`);
  for (const remainder of now.remainders ?? []) {
    const other = before.remainders?.find(({ name }) => name === remainder.name);
    if (!other || remainder.unit !== 'nm' || Math.abs(remainder.value - other.value) < 0.5) continue;
    const more = remainder.value > other.value ? 'More' : 'Less';
    list.push(`${more} ${remainder.name}: ${nmWords(remainder.value)} instead of ${nmWords(other.value)}.`);
  }
  return list.length > 0 ? list : ['No difference that shows.'];
}

function mostDifferent(now: Pinned, before: Pinned): { mm: number; nm: number } {
  let most = { mm: 0, nm: 0 };
  now.profile.depthNm.forEach((depth, j) => {
    const mm = j * now.profile.stepMm;
    const nm = depth - depthAtNm(before.profile, mm);
    if (Math.abs(nm) > Math.abs(most.nm)) most = { mm, nm };
  });
  return most;
}
