/** The keys of a measurement file, once: readers and the JSON Schema for editors both come from here. */
import { shelfItem } from '../program/shelf-items';
import { formatOne, line, quantity, type Spot, word, yesOrNo } from '../reading/fields';
import { group, may, must } from '../reading/groups';
import { glassField } from '../shelf/fields';
import type { Shelf } from '../shelf/types';
import { LENGTH_UNITS, rangeList, unitList } from './lists';

export const KINDS = ['knife-edge', 'profile', 'zernike'] as const;

const ANY_ANGLE = { least: -360, most: 360, why: 'Anticlockwise is positive.' };
const ON_GLASS = { above: 0, most: 20_000, why: 'It is a length on the glass.' };
const LIGHT = { least: 200e-6, most: 2000e-6, why: 'Light has about 550 nm (green), 632.8 nm (the red laser).' };
const ROOM = { least: -40, most: 60, why: 'It is the temperature of a room with glass in it.' };

/** Height units of surfaces, in nm. Waves wait for the wavelength. */
const HEIGHT_UNITS = { nm: 1, um: 1000, waves: 1, wave: 1 };

function common(shelf: Shelf) {
  return {
    wholeturn: must(formatOne, 'the format of the file: 1'),
    measurement: must(word(KINDS), 'knife-edge, profile or zernike'),
    title: may(line(), 'what people call it'),
    virtual: may(yesOrNo, 'true when it was read from a virtual glass; false unless given'),
    glass: must(shelfItem('glass', glassField, shelf.glasses), 'the glass: its name on the shelf, or written out'),
    wavelength: may(quantity('length', LIGHT, '550 nm'), 'the light the wavefront is judged in; 550 nm unless given'),
    markOnStand: may(
      quantity('angle', ANY_ANGLE, '30 deg'),
      "where the glass's own mark stood on the turntable while it was worked",
    ),
  };
}

const restGroup = group('the rest', {
  sinceWork: may(
    quantity('duration', { least: 0, most: 1e7, why: 'Since the last stroke.' }, '3 h'),
    'time since the last stroke',
  ),
  glass: may(quantity('temperature', ROOM, '20.1 C'), 'temperature of the glass'),
  room: may(quantity('temperature', ROOM, '20.3 C'), 'temperature of the room'),
});

export const takeGroup = group('a take', {
  diameter: may(
    quantity('angle', ANY_ANGLE, '60 deg'),
    "direction of the windows, from the glass's mark; 0 unless given",
  ),
  markOnTester: may(
    quantity('angle', ANY_ANGLE, '0 deg'),
    "where the glass's mark stood on the tester; 0 unless given",
  ),
  at: may(
    quantity('duration', { least: 0, most: 1e9, why: 'On any clock.' }, '12 min'),
    'when it was taken, to see drift',
  ),
  readings: must(unitList(LENGTH_UNITS, '0.00 0.35 0.81 mm'), 'one reading a window, growing away from the glass'),
});

export function knifeEdgeGroup<T>(
  shelf: Shelf,
  takes: { read(spot: Spot): T | undefined; schema: Record<string, unknown> },
) {
  return group('a knife-edge measurement', {
    ...common(shelf),
    source: must(word(['moving', 'fixed'] as const), 'moving (with the knife) or fixed (at the centre of curvature)'),
    windows: must(
      rangeList(LENGTH_UNITS, '0..19 19..37 37..56 mm'),
      'the openings of the mask, from the middle outwards',
    ),
    aimedAt: may(
      unitList(LENGTH_UNITS, '12 29 47 mm'),
      'the radius each reading stands for; the whole window unless given',
    ),
    repeatability: may(
      quantity(
        'length',
        { above: 0, most: 5, why: 'Standard deviation of one reading at 70 % of the radius.' },
        '0.02 mm',
      ),
      'how well one reading repeats at 70 % of the radius (standard deviation)',
    ),
    detail: may(quantity('length', ON_GLASS, '40 mm'), 'width of the narrowest zone that must be seen'),
    rest: may(restGroup, 'since when the glass has rested, and how warm it is'),
    takes: must(takes, 'the passes over the mask'),
  });
}

export function profileGroup(shelf: Shelf) {
  return group('a profile', {
    ...common(shelf),
    of: must(word(['surface', 'wavefront'] as const), 'surface (height of the glass) or wavefront (twice that)'),
    csv: may(line(), 'name of a CSV file with the columns radius and height, and maybe sigma'),
    radii: may(unitList(LENGTH_UNITS, '0 10 20 30 mm'), 'radii, ascending'),
    heights: may(
      unitList(HEIGHT_UNITS, '1 4 2 0 nm'),
      'height at each radius above the asked conic; positive is high glass',
    ),
    sigma: may(
      quantity('length', { least: 0, most: 0.01, why: 'Standard deviation of one height.' }, '2 nm'),
      'standard deviation of one height of the glass',
    ),
  });
}

export function zernikeGroup<T>(
  shelf: Shelf,
  coefficients: { read(spot: Spot): T | undefined; schema: Record<string, unknown> },
) {
  return group('a list of Zernike coefficients', {
    ...common(shelf),
    order: must(word(['noll', 'fringe', 'ansi'] as const), 'how they are numbered: noll, fringe or ansi'),
    scale: must(
      word(['rms', 'peak'] as const),
      'rms (each polynomial has unit mean square) or peak (unit height at the rim)',
    ),
    of: must(word(['surface', 'wavefront'] as const), 'surface (height of the glass) or wavefront (twice that)'),
    unitCircle: must(quantity('length', ON_GLASS, '296 mm'), 'diameter of the circle they are defined on'),
    coefficients: must(coefficients, 'number: value with unit, e.g. 11: -12.5 nm'),
  });
}
