/** Knife-edge readings: the mask must lie on the glass, the readings must be possible. Equal or falling ones are ordinary. */
import { complain, type Field, type Spot } from '../reading/fields';
import { itemsOf } from '../reading/groups';
import type { Glass, Shelf } from '../shelf/types';
import { askedConic, sagMm, slopeOf } from './conic';
import { type SourceKind, windowReadingMm, type ZoneWindow } from './knife-edge';
import type { UnitList } from './lists';
import { knifeEdgeGroup, takeGroup } from './measurement-fields';
import type { KnifeEdgeMeasurement, Take } from './types';

interface ReadTake extends Omit<Take, 'readingMm'> {
  readings: UnitList;
}

const takesField: Field<ReadTake[]> = {
  schema: { type: 'array', minItems: 1, items: takeGroup.schema },
  read(spot) {
    const items = itemsOf(spot, 'takes')?.map((item) => takeGroup.read(item));
    if (!items || items.some((item) => item === undefined)) return undefined;
    return items.map((item) => ({
      diameterDeg: item!.diameter ?? 0,
      markOnTesterDeg: item!.markOnTester ?? 0,
      atMinutes: item!.at === undefined ? null : item!.at / 60,
      readings: item!.readings,
    }));
  },
};

export function knifeEdgeFile(shelf: Shelf) {
  return knifeEdgeGroup(shelf, takesField);
}

/** Two unknowns (focus and conic) are always fitted; with fewer windows than this there is nothing to fit them to. */
const LEAST_WINDOWS = 3;
/** Readings may depart from the asked figure by this share of the radius of curvature; beyond it a unit or a digit is wrong. */
const POSSIBLE = 0.02;
/** A zone must span this many windows to be followed. */
const WINDOWS_PER_ZONE = 3;

export function readKnifeEdge(spot: Spot, file: string, shelf: Shelf): KnifeEdgeMeasurement | undefined {
  const parts = knifeEdgeFile(shelf).readParts(spot);
  if (!parts) return undefined;
  const { values, spots, complete } = parts;
  const windows = values.windows && windowsOf(values.windows, values.aimedAt, values.glass);
  if (windows && values.detail !== undefined && spots.detail) detailFits(spots.detail, values.detail, windows);
  const { takes, glass, source } = values;
  if (takes) sameUnits(takes);
  if (windows && takes) {
    for (const take of takes) if (!fitsWindows(take.readings, windows.length)) return undefined;
    if (glass && source) for (const take of takes) possible(take.readings, windows, glass, source);
  }
  if (!complete || !windows || spot.complaints.any) return undefined;
  const { rest } = complete;
  return {
    kind: 'knife-edge',
    file,
    glass: complete.glass,
    wavelengthNm: (complete.wavelength ?? 550e-6) * 1e6,
    virtual: complete.virtual ?? false,
    markOnStandDeg: complete.markOnStand ?? null,
    source: complete.source,
    windows,
    takes: complete.takes.map(({ readings, ...take }) => ({ ...take, readingMm: readings.values })),
    repeatabilityMm: complete.repeatability ?? null,
    rest: {
      hoursSinceWork: rest?.sinceWork === undefined ? null : rest.sinceWork / 3600,
      glassC: rest?.glass ?? null,
      roomC: rest?.room ?? null,
    },
  };
}

function windowsOf(list: UnitList, aimed: UnitList | undefined, glass: Glass | undefined): ZoneWindow[] | undefined {
  const count = list.values.length / 2;
  const windows: ZoneWindow[] = [];
  for (let i = 0; i < count; i++) {
    const fromMm = list.values[2 * i]!;
    const toMm = list.values[2 * i + 1]!;
    const before = windows[i - 1];
    if (toMm <= fromMm)
      return list.complainAt(2 * i, 'This window has no width: its first number must be the smaller one.');
    if (before && fromMm < before.toMm - 1e-9) {
      const words =
        fromMm < before.fromMm ? 'lies inside the one before; go from the middle outwards' : 'overlaps the one before';
      return list.complainAt(2 * i, `This window ${words}: a reading must belong to one zone.`);
    }
    if (glass && toMm > glass.diameterMm / 2 + 1e-6) {
      return list.complainAt(
        2 * i,
        `This window reaches to ${show(toMm)} mm, but the glass ends at ${show(glass.diameterMm / 2)} mm. Radii are wanted, not diameters.`,
      );
    }
    if (glass && fromMm < glass.holeMm / 2 - 1e-6) {
      return list.complainAt(
        2 * i,
        `This window begins at ${show(fromMm)} mm, inside the hole (${show(glass.holeMm / 2)} mm).`,
      );
    }
    windows.push({ fromMm, toMm, atMm: aimed?.values[i] ?? null });
  }
  if (count < LEAST_WINDOWS) {
    return list.complainAt(
      0,
      `${count} windows tell focus and little else: at least ${LEAST_WINDOWS} are wanted, eight or more to see zones.`,
    );
  }
  if (!aimed) return windows;
  if (aimed.values.length !== count) {
    return aimed.complainAt(
      0,
      `${aimed.values.length} radii for ${count} windows: give one for each, or leave them out.`,
    );
  }
  for (const [i, { fromMm, toMm, atMm }] of windows.entries()) {
    if (atMm! < fromMm || atMm! > toMm || atMm === 0) {
      return aimed.complainAt(i, `${show(atMm!)} mm lies outside its window, ${show(fromMm)} to ${show(toMm)} mm.`);
    }
  }
  return windows;
}

function show(mm: number): string {
  return String(Number(mm.toFixed(2)));
}

function detailFits(spot: Spot, detailMm: number, windows: ZoneWindow[]): void {
  const widest = Math.max(...windows.map((window) => window.toMm - window.fromMm));
  if (widest <= detailMm / WINDOWS_PER_ZONE + 1e-9) return;
  const from = windows[0]!.fromMm;
  const to = windows[windows.length - 1]!.toMm;
  const needed = Math.ceil(((to - from) * WINDOWS_PER_ZONE) / detailMm);
  complain(
    spot,
    `Too few windows for this: a zone ${show(detailMm)} mm wide wants ${WINDOWS_PER_ZONE} windows across it, but they are up to ${show(widest)} mm wide. Use about ${needed} windows, or ask for less detail.`,
  );
}

function sameUnits(takes: ReadTake[]): void {
  const first = takes[0]!.readings.unit;
  for (const { readings } of takes) {
    if (readings.unit !== first) {
      readings.complainAt(
        0,
        `These readings are in "${readings.unit}", those of the first take in "${first}". One dial, one unit: write all alike.`,
      );
    }
  }
}

function fitsWindows(readings: UnitList, count: number): boolean {
  if (readings.values.length === count) return true;
  readings.complainAt(
    Math.min(count, readings.values.length - 1),
    `${readings.values.length} readings for ${count} windows: give one for each, in the same order.`,
  );
  return false;
}

/** Far from anything this glass could read: a slipped decimal or a wrong unit. */
function possible(readings: UnitList, windows: ZoneWindow[], glass: Glass, source: SourceKind): void {
  const conic = askedConic(glass);
  const ideal = { sagMm: (r: number) => sagMm(conic, r), slope: (r: number) => slopeOf(conic, r) };
  const excess = readings.values.map((value, i) => value - windowReadingMm(ideal, windows[i]!, conic, source));
  const middle = [...excess].sort((a, b) => a - b)[excess.length >> 1]!;
  const limit = POSSIBLE * glass.radiusOfCurvatureMm;
  excess.forEach((value, i) => {
    if (Math.abs(value - middle) <= limit) return;
    readings.complainAt(
      i,
      `This reading is ${show(Math.abs(value - middle))} mm away from what its neighbours lead to; no polished glass does that. Check the decimal point and the unit.`,
    );
  });
}
