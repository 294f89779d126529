/** The fields of the Measure page: what they come to, where complaints stand, and that files go out and come back the same. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { readMeasurement } from '../../planner/figure/read-measurement';
import { reduce } from '../../planner/figure/reduce';
import type { KnifeEdgeMeasurement } from '../../planner/figure/types';
import {
  anotherPass,
  equalWindows,
  inUnitOf,
  newReadings,
  oneDiameter,
  type ReadingsDraft,
  readingsOf,
  threeDiameters,
  withEdge,
  withoutTake,
  withReading,
  withWindows,
} from '../../web-ui/measure/draft';
import { judge } from '../../web-ui/measure/judge';
import { measurementText } from '../../web-ui/measure/write';
import { demoShelf } from '../program/reading';

const shelf = demoShelf();
const glass = shelf.glasses['glass-300']!;
const first = readFileSync(join(__dirname, '../../planner/examples/measured/first.yaml'), 'utf8');

function example(): ReadingsDraft {
  const measurement = readMeasurement(first, 'first.yaml', shelf, () => null).measurement as KnifeEdgeMeasurement;
  return readingsOf(measurement, { title: 'Before', detailMm: null }, 'mm');
}

const fieldsOf = (draft: ReadingsDraft): string[] => judge(draft, shelf).complaints.map(({ field }) => field);

describe('what the fields come to', () => {
  test('the example, field by field, is the measurement its file says', () => {
    const { measurement, complaints, counted } = judge(example(), shelf);
    expect(complaints).toEqual([]);
    expect(counted).toEqual([1, 2, 3]);
    const read = readMeasurement(first, '', shelf, () => null).measurement!;
    expect(measurement).toEqual(read);
    expect(reduce(measurement!).findings).toEqual(reduce(read).findings);
  });

  test('an empty sheet has nothing to complain about but the source that nobody has named', () => {
    const draft = newReadings(glass, 'mm');
    expect(judge(draft, shelf)).toEqual({ complaints: [], measurement: null, counted: [], begun: [] });
    expect(judge({ ...draft, source: 'moving' }, shelf).complaints).toEqual([]);
  });

  test('a take that was begun waits, and is counted when it is complete', () => {
    let draft: ReadingsDraft = { ...newReadings(glass, 'mm'), source: 'moving' };
    for (let i = 0; i < 9; i++) draft = withReading(draft, 1, i, String(12 + 0.4 * i));
    expect(judge(draft, shelf)).toMatchObject({ measurement: null, begun: [{ id: 1, missing: 1 }], complaints: [] });
    draft = withReading(draft, 1, 9, '15,6');
    const { measurement, begun } = judge(draft, shelf);
    expect(begun).toEqual([]);
    expect((measurement as KnifeEdgeMeasurement).takes[0]!.readingMm[9]).toBe(15.6);
  });

  test('equal and falling readings are ordinary', () => {
    const draft = withReading(withReading(example(), 1, 4, '12.74'), 1, 5, '12.30');
    const { measurement, complaints } = judge(draft, shelf);
    expect(complaints).toEqual([]);
    expect(measurement).not.toBeNull();
  });
});

describe('a slip stands at its field and costs no more than its take', () => {
  test('no number', () => {
    const draft = withReading(example(), 2, 3, 'twelve');
    const { complaints, counted, measurement } = judge(draft, shelf);
    expect(complaints).toEqual([{ field: 'take 2 reading 3', message: 'This is not a number.' }]);
    expect(counted).toEqual([1, 3]);
    expect((measurement as KnifeEdgeMeasurement).takes.length).toBe(2);
    expect(draft.takes[1]!.readings[4]).toBe('12.72');
  });

  test.each([0, 3, 9])('a slipped decimal point in window %i', (index) => {
    const { complaints, counted } = judge(withReading(example(), 3, index, '1275'), shelf);
    expect(complaints.map(({ field }) => field)).toEqual([`take 3 reading ${index}`]);
    expect(complaints[0]!.message).toMatch(/Check the decimal point/);
    expect(counted).toEqual([1, 2]);
  });

  test('windows that overlap, leave the glass, are upside down, too few or without an edge', () => {
    const draft = example();
    const overlapping = draft.windows.map((one, i) => (i === 4 ? { ...one, to: '80' } : one));
    expect(judge(withWindows(draft, overlapping), shelf).complaints).toEqual([
      { field: 'window 5', message: expect.stringMatching(/overlaps/) },
    ]);
    expect(judge(withEdge(draft, 9, 'to', '160'), shelf).complaints).toEqual([
      { field: 'window 9', message: expect.stringMatching(/reaches to 160 mm, but the glass ends at 150 mm/) },
    ]);
    expect(fieldsOf(withWindows(draft, [{ from: '40', to: '20', aimedAt: '' }, ...draft.windows.slice(4)]))).toEqual([
      'window 0',
    ]);
    expect(fieldsOf(withWindows(draft, draft.windows.slice(0, 2)))).toEqual(['windows']);
    expect(fieldsOf(withEdge(draft, 2, 'to', ''))).toEqual(['window 2 to', 'window 3 from']);
    expect(judge(withEdge(draft, 2, 'to', ''), shelf).measurement).toBeNull();
  });

  test('windows are judged before there are readings', () => {
    const draft = { ...newReadings(glass, 'mm'), source: 'fixed' as const };
    expect(fieldsOf(withEdge(draft, 9, 'to', '170'))).toEqual(['window 9']);
    expect(fieldsOf({ ...draft, detail: '20' })).toEqual(['detail']);
  });

  test('numbers beside the readings', () => {
    expect(fieldsOf({ ...example(), repeatability: '-1' })).toEqual(['repeatability']);
    expect(fieldsOf({ ...example(), glassC: '200', sinceWorkHours: 'x' })).toEqual(['sinceWork']);
    expect(fieldsOf({ ...example(), glassC: '200' })).toEqual(['glassC']);
  });

  test('whatever is typed, nothing is thrown and nothing but its own take is lost', () => {
    fc.assert(
      fc.property(fc.string({ maxLength: 12 }), fc.integer({ min: 0, max: 9 }), (text, index) => {
        const { counted } = judge(withReading(example(), 2, index, text), shelf);
        expect(counted.filter((id) => id !== 2)).toEqual([1, 3]);
      }),
      { seed: 7, numRuns: 60 },
    );
  });
});

describe('changing the sheet', () => {
  test('equal windows over the clear aperture, and an edge takes its neighbour along', () => {
    const windows = equalWindows(glass, 'mm', 4);
    expect(windows.map(({ from, to }) => [from, to])).toEqual([
      ['0', '37.25'],
      ['37.25', '74.5'],
      ['74.5', '111.75'],
      ['111.75', '149'],
    ]);
    const draft = withEdge(withWindows(newReadings(glass, 'mm'), windows), 1, 'to', '80');
    expect(draft.windows[2]!.from).toBe('80');
    // Where there is a bar between them, each has its own.
    const barred = withEdge(
      withEdge(
        withWindows(
          draft,
          windows.map((one) => ({ ...one })),
        ),
        0,
        'to',
        '37.25',
      ),
      0,
      'to',
      '35',
    );
    const apart = withWindows(
      barred,
      barred.windows.map((one, i) => (i === 1 ? { ...one, from: '38' } : one)),
    );
    expect(withEdge(apart, 0, 'to', '36').windows[1]!.from).toBe('38');
  });

  test('three diameters, each turned under the mask, as often as there are passes; and back to one', () => {
    const three = anotherPass(threeDiameters(newReadings(glass, 'mm')));
    expect(three.takes.map(({ id, diameter, markOnTester }) => [id, diameter, markOnTester])).toEqual([
      [1, '0', '0'],
      [2, '60', '-60'],
      [3, '120', '-120'],
      [4, '0', '0'],
      [5, '60', '-60'],
      [6, '120', '-120'],
    ]);
    expect(oneDiameter(three).takes.map(({ id }) => id)).toEqual([1, 4]);
    expect(withoutTake(three, 5).takes.length).toBe(5);
    expect(withoutTake(newReadings(glass, 'mm'), 1).takes.length).toBe(1);
  });

  test('readings stay with their windows when there are more or fewer', () => {
    const draft = withWindows(example(), equalWindows(glass, 'mm', 12));
    expect(draft.takes[0]!.readings.slice(8)).toEqual(['15.2', '15.79', '', '']);
  });

  test('the other unit and back is the same measurement', () => {
    const inches = inUnitOf(example(), 'in');
    expect(inches.windows[1]!.to).toBe('1.1811');
    const there = judge(inches, shelf).measurement as KnifeEdgeMeasurement;
    const back = judge(inUnitOf(inches, 'mm'), shelf).measurement as KnifeEdgeMeasurement;
    const mm = judge(example(), shelf).measurement as KnifeEdgeMeasurement;
    // Inches are shown to a hundred-thousandth: half of that is 0.13 micrometres.
    expect(Math.abs(there.takes[0]!.readingMm[9]! - 15.79)).toBeLessThan(0.5e-5 * 25.4 + 1e-9);
    // How well a reading repeats is squared into every band: it must not move with the unit.
    expect(Math.abs(there.repeatabilityMm! / mm.repeatabilityMm! - 1)).toBeLessThan(1e-4);
    expect(back.takes).toEqual(mm.takes);
    expect(inUnitOf(withReading(example(), 1, 0, 'x'), 'in').takes[0]!.readings[0]).toBe('x');
  });
});

describe('files', () => {
  test.each(['mm', 'in'] as const)('what is written in %s is read back to the same', (unit) => {
    const draft = { ...inUnitOf(example(), unit), detail: unit === 'mm' ? '45' : '1.8' };
    const text = measurementText(draft, shelf);
    const { measurement, complaints } = readMeasurement(text, 'x.yaml', shelf, () => null);
    expect(complaints).toEqual([]);
    const again = readingsOf(measurement as KnifeEdgeMeasurement, { title: 'Before', detailMm: null }, unit);
    expect({ ...again, detail: draft.detail }).toEqual(draft);
    expect(text).toMatch(/^virtual: true$/m);
  });

  test('a glass that does not lie on the shelf is written out', () => {
    const mine = { ...glass, id: 'mine', title: 'Mine: 8" f/6', diameterMm: 203.2, clearApertureMm: 200 };
    const draft = { ...newReadings(mine, 'mm'), source: 'fixed' as const, title: 'A "first" look: #1' };
    const full = draft.windows.reduce((now, _, i) => withReading(now, 1, i, String(0.1 * i)), draft as ReadingsDraft);
    const { measurement, complaints } = readMeasurement(measurementText(full, shelf), 'x', shelf, () => null);
    expect(complaints).toEqual([]);
    expect({ ...measurement!.glass, id: 'mine' }).toEqual(mine);
  });
});
