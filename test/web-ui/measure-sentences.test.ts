/** What the Measure page says, asks and chooses by itself, without a browser. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import type { KeptMeasurement, Knowledge, RunOffered } from '../../firmware-host/server/messages';
import { readMeasurement } from '../../planner/figure/read-measurement';
import { reduce } from '../../planner/figure/reduce';
import type { KnifeEdgeMeasurement } from '../../planner/figure/types';
import { readProgram } from '../../planner/program/read-program';
import { loadSolver } from '../../planner/suggest/milp';
import { around, keptAs, knownOf, titleOf } from '../../web-ui/measure/book';
import { newReadings, readingsOf, withReading } from '../../web-ui/measure/draft';
import { type Opened, openFiles } from '../../web-ui/measure/files';
import { judge } from '../../web-ui/measure/judge';
import { keepDraft, keptDraft } from '../../web-ui/measure/kept';
import type { SuggestAsk } from '../../web-ui/measure/reckon';
import { heightRange, indicesWithin, marks, radiusMarks } from '../../web-ui/measure/section-geometry';
import {
  coefficientWords,
  countedWords,
  headline,
  numbersWords,
  peakWords,
  planTitle,
} from '../../web-ui/measure/sentences';
import { type ShownPlan, type Suggested, suggestInSteps, together } from '../../web-ui/measure/suggested';
import { demoShelf } from '../program/reading';
import { demoStand } from '../support/programs';

const shelf = demoShelf();
const glass = shelf.glasses['glass-300']!;
const first = readFileSync(join(__dirname, '../../planner/examples/measured/first.yaml'), 'utf8');
const measurement = readMeasurement(first, '', shelf, () => null).measurement as KnifeEdgeMeasurement;
const figure = reduce(measurement, 'highest under');
const draft = readingsOf(measurement, { title: 'Before', detailMm: null }, 'mm');

describe('the headline', () => {
  const head = (now = newReadings(glass, 'mm')): string => headline(now, judge(now, shelf), null, 'mm');

  test('leads from the empty sheet to the first figure', () => {
    expect(head()).toBe('Measure, and see what the glass needs');
    const begun = withReading(newReadings(glass, 'mm'), 1, 0, '0');
    expect(head(begun)).toBe('9 readings to go');
    const full = begun.windows.reduce((now, _, i) => withReading(now, 1, i, String(0.3 * i)), begun);
    expect(head(full)).toBe('Say whether the source moves with the knife');
    expect(head({ ...full, source: 'fixed' })).toBe('Reckoning …');
    expect(head(withReading(full, 1, 2, 'x'))).toBe('The figure waits: 1 thing to mend');
  });

  test('is the first finding, in the unit that is chosen', () => {
    const judged = judge(draft, shelf);
    expect(headline(draft, judged, figure, 'mm')).toBe(figure.findings[0]!.words);
    expect(headline(draft, judged, figure, 'in')).toMatch(
      /^The zone at 3\.54 in stands 89 nm high over (most of the area|the lowest zones) \(give or take 3\.0 nm\)\.$/,
    );
    // One number from high to low, whatever the drawing counts from: that of the suggestion.
    const { pvNm } = reduce(measurement, 'best fit');
    expect(numbersWords(figure)).toMatch(
      new RegExp(`^${pvNm.toFixed(0)} nm from high to low, \\d+ nm rms, against the best fit: `),
    );
    expect(pvNm.toFixed(0)).not.toBe(figure.pvNm.toFixed(0));
    expect(peakWords(figure, 89.2, 90, 'mm')).toBe('89 nm at 90 mm, over the lowest zones');
  });

  test('says which takes count where not all do', () => {
    expect(countedWords(draft, judge(draft, shelf))).toBeNull();
    const slipped = withReading(draft, 2, 1, 'x');
    expect(countedWords(slipped, judge(slipped, shelf))).toBe('From 2 of 3 takes: what is to be mended is left out.');
    const begun = withReading(draft, 2, 1, '');
    expect(countedWords(begun, judge(begun, shelf))).toBe('From 2 of 3 takes: the others are not complete yet.');
  });
});

describe('files', () => {
  const wrong = (opened: Opened): string => ('wrong' in opened ? opened.wrong.join(' ') : 'opened');

  test('a table alone, two measurements, and a table that was not chosen are refused with what to do', () => {
    const table = { name: 'a.csv', text: 'radius mm,height nm\n0,0\n' };
    const profile = {
      name: 'a.yaml',
      text: 'wholeturn: 1\nmeasurement: profile\nglass: glass-300\nof: surface\ncsv: a.csv\n',
    };
    expect(wrong(openFiles([table], shelf, 'mm'))).toMatch(/together with its measurement file/);
    expect(wrong(openFiles([profile, { ...profile, name: 'b.yaml' }], shelf, 'mm'))).toMatch(/^Choose one measurement/);
    expect(wrong(openFiles([profile], shelf, 'mm'))).toMatch(
      /a\.yaml, line 5, csv: .*Choose the measurement and its table together/,
    );
    expect(wrong(openFiles([profile, table], shelf, 'mm'))).toMatch(/a\.csv, line \d.*points are too few/);
  });

  test('title, detail and what is virtual are kept', () => {
    const opened = openFiles(
      [{ name: 'x.yaml', text: first.replace('repeatability', 'detail: 2 in\nrepeatability') }],
      shelf,
      'mm',
    );
    expect('draft' in opened && opened.draft).toMatchObject({
      title: 'Before the raised ring was eased',
      detail: '50.8',
      virtual: true,
    });
  });
});

describe('what outlives a reload', () => {
  const drawer = (content: string | null) => {
    let kept = content;
    return { getItem: () => kept, setItem: (_: string, value: string) => (kept = value) };
  };

  test('readings and files come back the same', () => {
    const box = drawer(null);
    const empty = newReadings(glass, 'mm');
    expect(keptDraft(empty, box)).toBeNull();
    for (const one of [draft, { kind: 'file' as const, name: 'a', text: 'b', tables: { c: 'd' }, virtual: false }]) {
      keepDraft(one, box);
      expect(keptDraft(empty, box)).toEqual(one);
    }
  });

  test.each([
    '{',
    '7',
    '{"kind":"readings"}',
    JSON.stringify({ ...draft, takes: [{ ...draft.takes[0], readings: ['1'] }] }),
  ])('what another edition kept is passed over: %s', (content) => {
    expect(keptDraft(newReadings(glass, 'mm'), drawer(content))).toBeNull();
  });
});

describe('the drawing', () => {
  test('has room for all heights with whole marks at both ends, and blows nothing up', () => {
    expect(heightRange([])).toEqual({ lowNm: -5, highNm: 25, stepNm: 5 });
    const { lowNm, highNm, stepNm } = heightRange([-3, 89]);
    expect(lowNm).toBeLessThan(-3);
    expect(highNm).toBeGreaterThan(89);
    expect(marks(lowNm, highNm, stepNm)).toContain(0);
    expect(marks(lowNm, highNm, stepNm).every((nm) => Math.abs(nm / stepNm - Math.round(nm / stepNm)) < 1e-9)).toBe(
      true,
    );
    expect(indicesWithin([0, 10, 20, 30], 10, 25)).toEqual([1, 2]);
    expect(radiusMarks(149, 'mm').map(({ name }) => name)).toEqual(['0', '50', '100 mm']);
    expect(radiusMarks(150, 'in').at(-1)).toEqual({ mm: 4 * 25.4, name: '4 in' });
  });
});

describe('a suggestion', () => {
  const ask: SuggestAsk = {
    ask: 'suggest',
    number: 1,
    request: {
      figure,
      laps: [shelf.laps['round-60']!],
      slurryId: 'cerium-fine',
      shelf,
      stand: demoStand,
      turntableRpm: 2.5,
      strokesPerMinute: 44,
      enoughNm: 34,
      marginNm: 2,
      downTo: 'lowest zone',
      allowedLowNm: 0,
    },
    known: { 'round-60': { kPerPa: 6.5e-13, sigma: 0.1, runs: 2 } },
  };
  const answers = async (change: Partial<SuggestAsk> = {}): Promise<Suggested[]> => {
    const said: Suggested[] = [];
    await suggestInSteps({ ...ask, ...change }, (one) => said.push(one), loadSolver);
    return said;
  };

  test('comes at once without whole turns, then whole with two others, each a program that reads', async () => {
    const [atOnce, whole, ...more] = await answers();
    expect(more).toEqual([]);
    if (atOnce?.stage !== 'at once' || whole?.stage !== 'whole') throw new Error('not in this order');
    expect(whole.plans.flatMap(({ names }) => names).sort()).toEqual(['gentlest', 'quickest', 'suggested']);
    expect(new Set(whole.plans.map(({ stints }) => JSON.stringify(stints))).size).toBe(whole.plans.length);
    // Turns that need not be whole can only do better, up to what is allowed below the target.
    expect(atOnce.pvNm).toBeLessThan(whole.plans[0]!.pvNm + 2);
    for (const { programText, turns, curve, pvNm } of whole.plans) {
      const { program, complaints } = readProgram(programText, 'x', shelf);
      expect(complaints).toEqual([]);
      expect(program!.stints.reduce((sum, stint) => sum + stint.turns, 0)).toBe(turns);
      // What is drawn is what is said: nowhere more is left than from high to low, and nothing was added.
      const part = (values: Float64Array) => [...values.subarray(curve.first, curve.last + 1)];
      expect(Math.max(...part(curve.afterNm))).toBeLessThan(Math.max(...part(curve.beforeNm)));
      expect(Math.max(...part(curve.afterNm)) - Math.min(...part(curve.afterNm))).toBeGreaterThan(0.8 * pvNm);
    }
  });

  test('that two names would give alike is shown once, with both', async () => {
    const whole = (await answers()).at(-1);
    const plans = whole?.stage === 'whole' ? whole.plans : [];
    const alike: ShownPlan = { ...plans[0]!, names: ['quickest'] };
    const merged = together([plans[0]!, { ...alike, stints: [] }, alike]);
    expect(merged.map(({ names }) => names)).toEqual([[...plans[0]!.names, 'quickest'], ['quickest']]);
    expect(planTitle(['suggested', 'quickest'])).toBe('Suggested, and the quickest');
    expect(planTitle(['test run'])).toBe('Test run');
  });

  test('writes out a glass that does not lie on the shelf, so that its program can be read', async () => {
    const mine = { ...glass, id: 'mine', title: 'My own' };
    const said = await answers({ request: { ...ask.request, figure: { ...figure, glass: mine } } });
    const whole = said.at(-1);
    const text = whole?.stage === 'whole' ? whole.plans[0]!.programText : '';
    const { program, complaints } = readProgram(text, 'x', shelf);
    expect(complaints).toEqual([]);
    expect({ ...program!.glass, id: 'mine' }).toEqual(mine);
  });

  test('is a test run at once where nobody knows how fast the lap cuts', async () => {
    const said = await answers({ known: { 'round-60': { kPerPa: 8.06e-13, sigma: 0.8, runs: 0 } } });
    expect(said).toMatchObject([{ stage: 'whole', kind: 'test run', plans: [{ names: ['test run'] }] }]);
  });

  test('is nothing where it is good enough', async () => {
    const said = await answers({ request: { ...ask.request, enoughNm: 500 } });
    expect(said).toMatchObject([{ stage: 'whole', kind: 'nothing to do', plans: [] }]);
  });
});

describe('the logbook', () => {
  const kept = (id: number, atMs: number, glassId = 'glass-300', text = first): KeptMeasurement => ({
    id,
    atMs,
    glassId,
    text,
    virtual: true,
  });
  const run: RunOffered = {
    id: 'a',
    title: 'A run',
    startedMs: 100,
    endedMs: 200,
    turnsWalked: 33,
    plannedTurns: 33,
    lapId: 'star-80',
    glassId: 'glass-300',
    slurryId: 'cerium-fine',
    virtual: true,
  };

  test('a run lies between the last measurement of its glass before it and the first after it', () => {
    const all = [kept(5, 400), kept(4, 210), kept(3, 205, 'other'), kept(2, 90), kept(1, 10)];
    expect(around(run, all)).toMatchObject({ before: { id: 2 }, after: { id: 4 } });
    expect(around(run, [kept(1, 150)])).toEqual({ before: null, after: null });
  });

  test('a coefficient holds for its lap, slurry, glass and kind of stand only', () => {
    const one: Knowledge = {
      lapId: 'star-80',
      slurryId: null,
      glassId: 'glass-300',
      kPerPa: 5e-13,
      sigma: 0.1,
      runs: 2,
      virtual: true,
    };
    const recipe = { slurryId: null, glassId: 'glass-300', virtual: true };
    expect(knownOf([one], { id: 'star-80' }, recipe)).toEqual({ kPerPa: 5e-13, sigma: 0.1, runs: 2 });
    for (const other of [{ slurryId: 'x' }, { glassId: 'x' }, { virtual: false }])
      expect(knownOf([one], { id: 'star-80' }, { ...recipe, ...other }).runs).toBe(0);
    expect(knownOf([one], { id: 'round-60' }, recipe)).toEqual({ kPerPa: 8.06e-13, sigma: 0.8, runs: 0 });
  });

  test('a run that was refused leaves what is held of the lap as it was', () => {
    const report = {
      virtual: false,
      kPerPa: 8.06e-13,
      kSigma: 0.8,
      runs: 0,
      breakIn: null,
      radiusMm: [],
      shapeResidualNm: [],
      shapeBandNm: [],
      ratio: null,
      misfit: null,
      refused: 'Too shallow.',
      causes: [],
      warnings: [],
    };
    expect(coefficientWords('Lap', report)).toBe(
      'Lap: it stays at 8.06e-13 /Pa as published, to 80 %; nothing is learned yet.',
    );
    expect(coefficientWords('Lap', { ...report, runs: 2 })).toBe(
      'Lap: it stays at 8.06e-13 /Pa, to 80 %, from 2 measured runs.',
    );
    expect(coefficientWords('Lap', { ...report, runs: 1, refused: null })).toBe(
      'Lap: 8.06e-13 /Pa for the next run, to 80 %, from 1 measured run.',
    );
  });

  test('the very same readings are kept once', () => {
    const all = [kept(3, 9, 'g', 'a'), kept(2, 8, 'g', 'b'), kept(1, 7, 'g', 'a')];
    expect(keptAs('a', all)).toBe(3);
    expect(keptAs('b', all)).toBe(2);
    expect(keptAs('a ', all)).toBeNull();
  });

  test('a kept measurement is called by the title in its file', () => {
    expect(titleOf(kept(1, 0))).toBe('Before the raised ring was eased');
    expect(titleOf(kept(7, 0, 'g', 'title: "A \\"b\\""\n'))).toBe('A "b"');
    expect(titleOf(kept(7, 0, 'g', 'wholeturn: 1\n'))).toBe('Measurement 7');
  });
});
