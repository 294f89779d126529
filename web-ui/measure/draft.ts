/**
 * The measurement as it stands on the page. What was typed is kept word for word, so that a slip loses nothing and a reload finds it;
 * ./judge.ts says what it means. Pure.
 */
import type { SourceKind } from '../../planner/figure/knife-edge';
import type { KnifeEdgeMeasurement } from '../../planner/figure/types';
import type { Glass } from '../../planner/shelf/types';
import { type ShownUnit, shown, understood } from '../plan/number-entry';
import type { LengthUnit } from '../words';

export interface WindowDraft {
  from: string;
  to: string;
  /** The radius its readings stand for; empty: the whole opening. */
  aimedAt: string;
}

export interface TakeDraft {
  id: number;
  /** Degrees from the glass's mark, and where that mark stood on the tester. */
  diameter: string;
  markOnTester: string;
  /** Minutes on any clock; empty: not noted. */
  at: string;
  /** One for each window; empty: not read yet. */
  readings: string[];
}

export interface ReadingsDraft {
  kind: 'readings';
  title: string;
  glass: Glass;
  /** Null until the person has said it: a wrong one would make every height twice or half of what it is. */
  source: SourceKind | null;
  /** Of edges and readings alike. */
  unit: LengthUnit;
  windows: WindowDraft[];
  takes: TakeDraft[];
  repeatability: string;
  /** Width of the narrowest zone that must be seen. */
  detail: string;
  markOnStand: string;
  wavelengthNm: number;
  sinceWorkHours: string;
  glassC: string;
  roomC: string;
  virtual: boolean;
}

/** A profile or a list of polynomials: its own file says all there is to say. */
export interface FileDraft {
  kind: 'file';
  name: string;
  text: string;
  /** Tables that were chosen with it, by name. */
  tables: Record<string, string>;
  virtual: boolean;
}

export type MeasureDraft = ReadingsDraft | FileDraft;

export const USUAL_WINDOWS = 10;
export const MOST_WINDOWS = 40;
export const THREE_DIAMETERS = [0, 60, 120] as const;

/** Lengths on the glass, and readings of a dial. */
export const EDGE: Record<LengthUnit, ShownUnit> = {
  mm: { word: 'mm', per: 1, step: 0.5, digits: 3, kind: 'length' },
  in: { word: 'in', per: 25.4, step: 0.02, digits: 5, kind: 'length' },
};
export const READING: Record<LengthUnit, ShownUnit> = {
  mm: { word: 'mm', per: 1, step: 0.01, digits: 3, kind: 'length' },
  in: { word: 'in', per: 25.4, step: 0.0005, digits: 5, kind: 'length' },
};
/** How well a reading repeats: small, and squared into every band. */
export const REPEATS: Record<LengthUnit, ShownUnit> = {
  mm: { ...READING.mm, digits: 4 },
  in: { ...READING.in, digits: 7 },
};
export const ANGLE: ShownUnit = { word: '°', per: 1, step: 1, digits: 2, kind: 'angle' };
export const MINUTES: ShownUnit = { word: 'min', per: 1, step: 1, digits: 1 };
export const HOURS: ShownUnit = { word: 'h', per: 1, step: 0.5, digits: 2 };
export const CELSIUS: ShownUnit = { word: '°C', per: 1, step: 0.1, digits: 2, kind: 'temperature' };

/** An empty sheet for a glass: equal windows over its clear aperture, one take. */
export function newReadings(glass: Glass, unit: LengthUnit): ReadingsDraft {
  const windows = equalWindows(glass, unit, USUAL_WINDOWS);
  return {
    kind: 'readings',
    title: `Measurement of ${glass.title}`,
    glass,
    source: null,
    unit,
    windows,
    takes: [emptyTake(1, windows.length, 0, 0)],
    repeatability: '',
    detail: '',
    markOnStand: '',
    wavelengthNm: 550,
    sinceWorkHours: '',
    glassC: '',
    roomC: '',
    virtual: false,
  };
}

function emptyTake(id: number, windows: number, diameterDeg: number, markOnTesterDeg: number): TakeDraft {
  return {
    id,
    diameter: String(diameterDeg),
    markOnTester: String(markOnTesterDeg),
    at: '',
    readings: Array.from({ length: windows }, () => ''),
  };
}

/** From the middle, or the rim of the hole, to the rim of the clear aperture. */
export function equalWindows(
  glass: Glass,
  unit: LengthUnit,
  count: number,
  fromMm = glass.holeMm / 2,
  toMm = glass.clearApertureMm / 2,
): WindowDraft[] {
  const edge = (i: number): string => shown(fromMm + ((toMm - fromMm) * i) / count, EDGE[unit]);
  return Array.from({ length: count }, (_, i) => ({ from: edge(i), to: edge(i + 1), aimedAt: '' }));
}

/** Readings stay with their windows, counted from the middle. */
export function withWindows(draft: ReadingsDraft, windows: WindowDraft[]): ReadingsDraft {
  const takes = draft.takes.map((take) => ({ ...take, readings: windows.map((_, i) => take.readings[i] ?? '') }));
  return { ...draft, windows, takes };
}

/** Moves an edge; a neighbour that shared it moves along. */
export function withEdge(draft: ReadingsDraft, index: number, side: 'from' | 'to', text: string): ReadingsDraft {
  const before = draft.windows[index]?.[side];
  const [beside, other] = side === 'from' ? ([index - 1, 'to'] as const) : ([index + 1, 'from'] as const);
  const windows = draft.windows.map((window, i) => {
    if (i === index) return { ...window, [side]: text };
    return i === beside && window[other] === before ? { ...window, [other]: text } : window;
  });
  return { ...draft, windows };
}

export function withTake(draft: ReadingsDraft, id: number, part: Partial<TakeDraft>): ReadingsDraft {
  return { ...draft, takes: draft.takes.map((take) => (take.id === id ? { ...take, ...part } : take)) };
}

export function withReading(draft: ReadingsDraft, id: number, index: number, text: string): ReadingsDraft {
  const take = draft.takes.find((each) => each.id === id);
  if (!take) return draft;
  return withTake(draft, id, { readings: take.readings.map((each, i) => (i === index ? text : each)) });
}

/** Diameters that are read, in the order in which they first appear. */
export function diametersOf({ takes }: ReadingsDraft): string[] {
  return [...new Set(takes.map((take) => take.diameter))];
}

/** One more take of every diameter there is: another pass. */
export function anotherPass(draft: ReadingsDraft): ReadingsDraft {
  const more = diametersOf(draft).map((diameter) => draft.takes.find((take) => take.diameter === diameter)!);
  return { ...draft, takes: [...draft.takes, ...renumbered(draft, more)] };
}

/** Fresh takes like those given, with numbers of their own. */
function renumbered({ takes, windows }: ReadingsDraft, like: readonly TakeDraft[]): TakeDraft[] {
  const last = Math.max(0, ...takes.map(({ id }) => id));
  return like.map(({ diameter, markOnTester }, i) => ({
    id: last + 1 + i,
    diameter,
    markOnTester,
    at: '',
    readings: windows.map(() => ''),
  }));
}

/** The two diameters that are missing of three; the glass is turned under the mask, so its mark moves the other way. */
export function threeDiameters(draft: ReadingsDraft): ReadingsDraft {
  const known = new Set(diametersOf(draft).map(Number));
  const missing = THREE_DIAMETERS.filter((deg) => !known.has(deg));
  const like = missing.map((deg) => emptyTake(0, 0, deg, deg === 0 ? 0 : -deg));
  return { ...draft, takes: [...draft.takes, ...renumbered(draft, like)] };
}

/** Only the takes along the first diameter. */
export function oneDiameter(draft: ReadingsDraft): ReadingsDraft {
  const first = draft.takes[0]?.diameter;
  return { ...draft, takes: draft.takes.filter((take) => take.diameter === first) };
}

/** The last take stays: there is always one to read. */
export function withoutTake(draft: ReadingsDraft, id: number): ReadingsDraft {
  const takes = draft.takes.filter((take) => take.id !== id);
  return takes.length > 0 ? { ...draft, takes } : draft;
}

/** The same lengths in the other unit; what is no number stays as it was typed. */
export function inUnitOf(draft: ReadingsDraft, unit: LengthUnit): ReadingsDraft {
  if (unit === draft.unit) return draft;
  const turned = (units: Record<LengthUnit, ShownUnit>) => (text: string) => {
    const value = understood(text, units[draft.unit]);
    return value === null ? text : shown(value, units[unit]);
  };
  const edge = turned(EDGE);
  const reading = turned(READING);
  return {
    ...draft,
    unit,
    windows: draft.windows.map(({ from, to, aimedAt }) => ({ from: edge(from), to: edge(to), aimedAt: edge(aimedAt) })),
    takes: draft.takes.map((take) => ({ ...take, readings: take.readings.map(reading) })),
    repeatability: turned(REPEATS)(draft.repeatability),
    detail: edge(draft.detail),
  };
}

/** What a file holds, as it would have been typed. */
export function readingsOf(
  measurement: KnifeEdgeMeasurement,
  head: { title: string; detailMm: number | null },
  unit: LengthUnit,
): ReadingsDraft {
  const optional = (value: number | null, as: ShownUnit): string => (value === null ? '' : shown(value, as));
  const { glass, source, windows, takes, rest } = measurement;
  return {
    kind: 'readings',
    title: head.title,
    glass,
    source,
    unit,
    windows: windows.map(({ fromMm, toMm, atMm }) => ({
      from: shown(fromMm, EDGE[unit]),
      to: shown(toMm, EDGE[unit]),
      aimedAt: optional(atMm, EDGE[unit]),
    })),
    takes: takes.map((take, i) => ({
      id: i + 1,
      diameter: shown(take.diameterDeg, ANGLE),
      markOnTester: shown(take.markOnTesterDeg, ANGLE),
      at: optional(take.atMinutes, MINUTES),
      readings: take.readingMm.map((value) => shown(value, READING[unit])),
    })),
    repeatability: optional(measurement.repeatabilityMm, REPEATS[unit]),
    detail: optional(head.detailMm, EDGE[unit]),
    markOnStand: optional(measurement.markOnStandDeg, ANGLE),
    wavelengthNm: measurement.wavelengthNm,
    sinceWorkHours: optional(rest.hoursSinceWork, HOURS),
    glassC: optional(rest.glassC, CELSIUS),
    roomC: optional(rest.roomC, CELSIUS),
    virtual: measurement.virtual,
  };
}

/** Whether anything has been noted yet. */
export function isEmpty(draft: ReadingsDraft): boolean {
  return draft.takes.every((take) => take.readings.every((text) => text.trim() === ''));
}
