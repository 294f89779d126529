import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { measurementSchema, readMeasurement } from '../../planner/figure/read-measurement';
import { reduce } from '../../planner/figure/reduce';
import type { KnifeEdgeMeasurement, ProfileMeasurement, ZernikeMeasurement } from '../../planner/figure/types';
import type { Shelf } from '../../planner/shelf/types';
import { testGlass } from './synthetic';

const shelf: Shelf = { glasses: { mirror: testGlass({ id: 'mirror' }) }, laps: {}, slurries: {} };
const nowhere = (): null => null;

const KNIFE_EDGE = `wholeturn: 1
measurement: knife-edge
glass: mirror
source: moving
windows: 0..50 50..70.7 70.7..86.6 86.6..100 mm
takes:
  - { readings: 0.26 0.76 1.29 1.82 mm }
  - { diameter: 60 deg, markOnTester: -60 deg, at: 12 min, readings: 0.27 0.75 1.28 1.81 mm }
`;

const ZERNIKE = `wholeturn: 1
measurement: zernike
glass: mirror
order: noll
scale: rms
of: surface
unitCircle: 200 mm
coefficients: { 4: 100 nm, 11: 10 nm }
`;

const PROFILE = `wholeturn: 1
measurement: profile
glass: mirror
of: surface
radii: 0 25 50 75 100 mm
heights: 0 4 16 36 64 nm
`;

function complaintsOf(text: string, beside: (name: string) => string | null = nowhere) {
  const { measurement, complaints } = readMeasurement(text, 'tuesday.yaml', shelf, beside);
  expect(measurement === null).toBe(complaints.length > 0);
  return complaints;
}

function read<M>(text: string, beside: (name: string) => string | null = nowhere): M {
  const { measurement, complaints } = readMeasurement(text, 'tuesday.yaml', shelf, beside);
  expect(complaints).toEqual([]);
  return measurement as M;
}

describe('a knife-edge file', () => {
  it('reads windows, takes, diameters, marks and times', () => {
    const measurement = read<KnifeEdgeMeasurement>(KNIFE_EDGE);
    expect(measurement.windows[1]).toEqual({ fromMm: 50, toMm: 70.7, atMm: null });
    expect(measurement.takes[1]).toEqual({
      diameterDeg: 60,
      markOnTesterDeg: -60,
      atMinutes: 12,
      readingMm: [0.27, 0.75, 1.28, 1.81],
    });
    expect(measurement.wavelengthNm).toBeCloseTo(550, 9);
  });

  it('reads inches', () => {
    const inches = KNIFE_EDGE.replace('0..50 50..70.7 70.7..86.6 86.6..100 mm', '0..1 1..2 2..3 3..3.5 in').replace(
      /readings: [\d. ]+ mm/g,
      'readings: 0.01 0.02 0.04 0.06 in',
    );
    const { windows, takes } = read<KnifeEdgeMeasurement>(inches);
    expect(windows[3]!.toMm).toBeCloseTo(88.9, 9);
    expect(takes[0]!.readingMm[1]).toBeCloseTo(0.508, 9);
  });

  it('takes readings that are equal or fall towards the rim', () => {
    read(KNIFE_EDGE.replace('0.26 0.76 1.29 1.82', '0.5 0.5 0.5 0.5'));
    read(KNIFE_EDGE.replace('0.26 0.76 1.29 1.82', '1.9 1.2 1.25 0.4'));
  });

  const bad: [string, string, RegExp, number][] = [
    ['overlapping windows', KNIFE_EDGE.replace('50..70.7', '45..70.7'), /overlaps the one before/, 5],
    ['windows outside the glass', KNIFE_EDGE.replace('86.6..100', '86.6..130'), /the glass ends at 100 mm/, 5],
    ['windows out of order', KNIFE_EDGE.replace('70.7..86.6', '10..20'), /middle outwards/, 5],
    ['a window without width', KNIFE_EDGE.replace('86.6..100', '90..90'), /no width/, 5],
    ['diameters for radii', KNIFE_EDGE.replace('86.6..100', '86.6..200'), /not diameters/, 5],
    ['two windows', KNIFE_EDGE.replace(/windows.*/, 'windows: 0..60 60..100 mm'), /at least 3 are wanted/, 5],
    ['a word for a number', KNIFE_EDGE.replace('1.29', 'NaN'), /"NaN" is not a number/, 7],
    ['an infinite number', KNIFE_EDGE.replace('1.29', '1e999'), /not a number/, 7],
    ['a slipped decimal point', KNIFE_EDGE.replace('1.29', '129'), /no polished glass does that/, 7],
    ['a reading too few', KNIFE_EDGE.replace('0.26 0.76 1.29 1.82', '0.26 0.76 1.29'), /3 readings for 4 windows/, 7],
    ['a unit inside the list', KNIFE_EDGE.replace('0.26 0.76', '0.26 mm 0.76'), /One unit for the whole list/, 7],
    [
      'millimetres and inches',
      KNIFE_EDGE.replace('0.27 0.75 1.28 1.81 mm', '0.01 0.03 0.05 0.07 in'),
      /One dial, one unit/,
      8,
    ],
    ['no unit', KNIFE_EDGE.replace('1.82 mm', '1.82'), /does not end with a unit/, 7],
    ['the source not said', KNIFE_EDGE.replace('source: moving\n', ''), /"source" is missing/, 1],
    ['an unknown source', KNIFE_EDGE.replace('moving', 'steady'), /"steady" is not known here/, 4],
    ['the kind not said', KNIFE_EDGE.replace('measurement: knife-edge\n', ''), /"measurement" is missing/, 1],
    ['an unknown glass', KNIFE_EDGE.replace('glass: mirror', 'glass: miror'), /Did you mean "mirror"/, 3],
    [
      'too few windows for the detail',
      KNIFE_EDGE.replace('takes:', 'detail: 30 mm\ntakes:'),
      /Use about 10 windows/,
      6,
    ],
    [
      'aims outside their windows',
      KNIFE_EDGE.replace('takes:', 'aimedAt: 30 60 80 120 mm\ntakes:'),
      /outside its window/,
      6,
    ],
    ['no takes', KNIFE_EDGE.replace(/takes:[\s\S]*/, 'takes: []\n'), /at least one/, 6],
  ];

  it.each(bad)('complains about %s', (_, text, message, line) => {
    const [first] = complaintsOf(text);
    expect(first?.message).toMatch(message);
    expect(first?.line).toBe(line);
    expect(first?.file).toBe('tuesday.yaml');
  });

  it('points at the very number', () => {
    const [first] = complaintsOf(KNIFE_EDGE.replace('1.29', 'l.29'));
    expect(first?.column).toBe('  - { readings: 0.26 0.76 '.length + 1);
  });
});

describe('a Zernike file', () => {
  it('reads the same surface in every order and scale', () => {
    const noll = read<ZernikeMeasurement>(ZERNIKE);
    const ansi = read<ZernikeMeasurement>(
      ZERNIKE.replace('order: noll', 'order: ansi').replace('4: 100 nm, 11: 10 nm', '4: 100 nm, 12: 10 nm'),
    );
    const fringe = read<ZernikeMeasurement>(
      ZERNIKE.replace('order: noll', 'order: fringe')
        .replace('scale: rms', 'scale: peak')
        .replace('4: 100 nm, 11: 10 nm', `4: ${100 * Math.sqrt(3)} nm, 9: ${10 * Math.sqrt(5)} nm`),
    );
    expect(ansi.terms).toEqual(noll.terms);
    fringe.terms.forEach((term, i) => {
      expect(term.coefficientNm).toBeCloseTo(noll.terms[i]!.coefficientNm, 9);
    });
  });

  it('takes half of a wavefront, and waves by the wavelength', () => {
    const wave = read<ZernikeMeasurement>(
      ZERNIKE.replace('of: surface', 'of: wavefront\nwavelength: 500 nm').replace(
        '4: 100 nm, 11: 10 nm',
        '4: 0.4 waves, 11: 0.04 waves',
      ),
    );
    expect(wave.terms[1]!.coefficientNm).toBeCloseTo(10, 9);
  });

  it('10 nm rms of primary spherical are 33.5 nm from high to low, rms 10 nm', () => {
    const figure = reduce(read<ZernikeMeasurement>(ZERNIKE));
    expect(Math.abs(figure.pvNm - 33.541)).toBeLessThan(0.05);
    expect(Math.abs(figure.rmsNm - 10)).toBeLessThan(0.01);
  });

  const bad: [string, string, RegExp][] = [
    ['the order not said', ZERNIKE.replace('order: noll\n', ''), /"order" is missing/],
    ['the scale not said', ZERNIKE.replace('scale: rms\n', ''), /"scale" is missing/],
    ['surface or wavefront not said', ZERNIKE.replace('of: surface\n', ''), /"of" is missing/],
    ['the circle not said', ZERNIKE.replace('unitCircle: 200 mm\n', ''), /"unitCircle" is missing/],
    ['waves without light', ZERNIKE.replace('4: 100 nm, 11: 10 nm', '4: 0.1 waves'), /without the light/],
    ['waves and nanometres', ZERNIKE.replace('11: 10 nm', '11: 0.1 waves'), /all in one unit/],
    ['an index that is none', ZERNIKE.replace('11: 10 nm', '0: 10 nm'), /no such number/],
    ['a name for an index', ZERNIKE.replace('11: 10 nm', 'Z11: 10 nm'), /not the number of a polynomial/],
    ['a radius for the circle', ZERNIKE.replace('200 mm', '50 mm'), /It is a diameter/],
    ['no unit', ZERNIKE.replace('11: 10 nm', '11: 10'), /not a height with its unit/],
    ['a coefficient twice', ZERNIKE.replace('11: 10 nm', '4: 10 nm'), /already given/],
  ];

  it.each(bad)('complains about %s', (_, text, message) => {
    expect(complaintsOf(text)[0]?.message).toMatch(message);
  });
});

describe('a profile', () => {
  const csv =
    'radius mm, height nm, sigma nm\n# from the stylus\n0, 0, 1\n25, 4, 1\n50, 16, 1\n75, 36, 2\n100, 64, 2\n';
  const withCsv = PROFILE.replace(/radii[\s\S]*/, 'csv: tuesday.csv\n');
  const beside = (text: string) => (name: string) => (name === 'tuesday.csv' ? text : null);

  it('is the same from lists and from a table, in any columns, separators and units', () => {
    const listed = read<ProfileMeasurement>(PROFILE).points.map(({ radiusMm, heightNm }) => [radiusMm, heightNm]);
    const tables = [
      csv,
      csv.replaceAll(',', ';').replaceAll('\n', '\r\n'),
      'height_um\tradius_cm\n0\t0\n0.004\t2.5\n0.016\t5\n0.036\t7.5\n0.064\t10\n',
    ];
    for (const table of tables) {
      const { points } = read<ProfileMeasurement>(withCsv, beside(table));
      points.forEach(({ radiusMm, heightNm }, i) => {
        expect(radiusMm).toBeCloseTo(listed[i]![0]!, 9);
        expect(heightNm).toBeCloseTo(listed[i]![1]!, 9);
      });
    }
  });

  it('of r^2 alone is no error of figure', () => {
    expect(reduce(read<ProfileMeasurement>(PROFILE)).pvNm).toBeLessThan(1e-9);
  });

  const bad: [string, string, RegExp, number][] = [
    ['a cell that is no number', csv.replace('16', '1b6'), /"1b6" is not a number/, 5],
    ['a cell too few', csv.replace('50, 16, 1', '50, 16'), /"" is not a number/, 5],
    ['a column without unit', csv.replace('height nm', 'height'), /names no column with its unit/, 1],
    ['a missing column', csv.replace('height nm', 'sigma nm').replace(', sigma nm\n', '\n'), /height is missing/, 1],
    ['radii that do not ascend', csv.replace('75,', '50,'), /must ascend/, 6],
    ['a radius outside the glass', csv.replace('100,', '101,'), /ends at 100 mm/, 7],
    ['too few points', csv.replace(/50[\s\S]*/, ''), /too few for a profile/, 3],
    ['sags for heights', csv.replace('64', '2083333'), /not the sag/, 7],
    ['an empty table', '', /table is empty/, 1],
  ];

  it.each(bad)('complains about %s, in its own file', (_, table, message, line) => {
    const [first] = complaintsOf(withCsv, beside(table));
    expect(first?.message).toMatch(message);
    expect(first?.file).toBe('tuesday.csv');
    expect(first?.line).toBe(line);
  });

  it('complains about a table that is not there, and about two sources', () => {
    expect(complaintsOf(withCsv)[0]?.message).toMatch(/There is no file "tuesday.csv"/);
    expect(complaintsOf(`${PROFILE}csv: tuesday.csv\n`)[0]?.message).toMatch(/either csv/);
  });
});

describe('any text at all', () => {
  it('is answered with complaints, never with an exception', () => {
    const pieces = fc.constantFrom(
      ...KNIFE_EDGE.split(/(?<=\s)/),
      ...ZERNIKE.split(/(?<=\s)/),
      '[',
      '{',
      '..',
      '\n',
      '-',
      '1e9 ',
      'null ',
    );
    const mangled = fc.oneof(
      fc.array(pieces, { maxLength: 60 }).map((list) => list.join('')),
      fc
        .tuple(fc.nat(300), fc.string({ maxLength: 5 }))
        .map(([at, bit]) => KNIFE_EDGE.slice(0, at) + bit + KNIFE_EDGE.slice(at + 2)),
    );
    fc.assert(
      fc.property(mangled, (text) => {
        const { measurement, complaints } = readMeasurement(text, 'x', shelf, () => text);
        if (measurement) reduce(measurement);
        else expect(complaints.length).toBeGreaterThan(0);
      }),
      { numRuns: 400, seed: 7 },
    );
  });

  it('has a schema for editors that names the three kinds', () => {
    expect(JSON.stringify(measurementSchema(shelf))).toContain('aimedAt');
    expect((measurementSchema(shelf).anyOf as unknown[]).length).toBe(3);
  });
});
