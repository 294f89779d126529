/** Profiles: heights over radii, from a CSV file beside the measurement or written out in lists. */
import type { Complaint } from '../program/types';
import { complain, type Spot } from '../reading/fields';
import type { Glass, Shelf } from '../shelf/types';
import { readCsvProfile } from './csv';
import { profileGroup } from './measurement-fields';
import type { Beside } from './read-measurement';
import type { ProfileMeasurement } from './types';

const LEAST_POINTS = 4;
/** A polished surface departs from its conic by less than this; beyond it the heights are no departures. nm. */
const MOST_NM = 1e6;

interface Table {
  radiusMm: number[];
  height: number[];
  sigma: number[] | null;
  inWaves: boolean;
  /** Says what is wrong with one row. */
  complainAt(row: number, field: string, message: string): void;
}

export function readProfile(
  spot: Spot,
  file: string,
  shelf: Shelf,
  beside: Beside,
  more: Complaint[],
): ProfileMeasurement | undefined {
  const parts = profileGroup(shelf).readParts(spot);
  if (!parts?.complete) return undefined;
  const { complete, spots } = parts;
  const { csv, radii, heights, sigma } = complete;
  if ((csv === undefined) === (radii === undefined || heights === undefined)) {
    return complain(spots.csv ?? spots.radii ?? spot, 'Give either csv, the name of a table, or radii and heights.');
  }
  const table = csv !== undefined ? tableBeside(csv, spots.csv ?? spot, beside, more) : listed(radii!, heights!);
  if (!table) return undefined;
  if (table.inWaves && complete.wavelength === undefined) {
    return complain(spot, 'Heights in waves mean nothing without the light: give wavelength, e.g. 632.8 nm.');
  }
  const wavelengthNm = (complete.wavelength ?? 550e-6) * 1e6;
  const perUnit = (table.inWaves ? wavelengthNm : 1) / (complete.of === 'wavefront' ? 2 : 1);
  const points = table.radiusMm.map((radiusMm, i) => ({
    radiusMm,
    heightNm: table.height[i]! * perUnit,
    sigmaNm: table.sigma ? Math.abs(table.sigma[i]! * perUnit) : (sigma ?? 0) * 1e6,
  }));
  if (!judgePoints(points, complete.glass, table)) return undefined;
  return {
    kind: 'profile',
    file,
    glass: complete.glass,
    wavelengthNm,
    virtual: complete.virtual ?? false,
    markOnStandDeg: complete.markOnStand ?? null,
    points,
    sigmaStated: table.sigma !== null || sigma !== undefined,
  };
}

function tableBeside(name: string, spot: Spot, beside: Beside, more: Complaint[]): Table | undefined {
  const text = beside(name);
  if (text === null) return complain(spot, `There is no file "${name}" beside this one, or it cannot be read.`);
  const { profile, complaints } = readCsvProfile(text, name);
  more.push(...complaints);
  return (
    (profile ?? undefined) && {
      ...profile!,
      complainAt: (row, field, message) =>
        more.push({ file: name, line: profile!.lines[row] ?? 1, column: 1, field, message }),
    }
  );
}

function listed(
  radii: { values: number[]; complainAt(i: number, m: string): undefined },
  heights: { values: number[]; unit: string; complainAt(i: number, m: string): undefined },
): Table | undefined {
  if (radii.values.length !== heights.values.length) {
    return heights.complainAt(
      0,
      `${heights.values.length} heights for ${radii.values.length} radii: give one for each.`,
    );
  }
  return {
    radiusMm: radii.values,
    height: heights.values,
    sigma: null,
    inWaves: heights.unit.startsWith('wave'),
    complainAt: (row, field, message) => (field === 'radius' ? radii : heights).complainAt(row, message),
  };
}

function judgePoints(points: { radiusMm: number; heightNm: number }[], glass: Glass, table: Table): boolean {
  if (points.length < LEAST_POINTS) {
    table.complainAt(
      0,
      'radius',
      `${points.length} points are too few for a profile: at least ${LEAST_POINTS}, better one every few millimetres.`,
    );
    return false;
  }
  for (const [i, { radiusMm, heightNm }] of points.entries()) {
    const before = points[i - 1]?.radiusMm ?? Number.NEGATIVE_INFINITY;
    const wrong =
      radiusMm < 0
        ? 'A radius is not negative: give one side of the glass, or the mean of both.'
        : radiusMm <= before
          ? 'Radii must ascend, each once.'
          : radiusMm > glass.diameterMm / 2 + 1e-6
            ? `This radius lies outside the glass, which ends at ${glass.diameterMm / 2} mm.`
            : null;
    if (wrong) {
      table.complainAt(i, 'radius', wrong);
      return false;
    }
    if (Math.abs(heightNm) > MOST_NM) {
      table.complainAt(
        i,
        'height',
        'More than a millimetre from the asked figure: heights above the conic are wanted, not the sag.',
      );
      return false;
    }
  }
  return true;
}
