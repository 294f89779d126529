/** What is written is what is read: programs, the repeats found in them again, shelf names, units. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Folded, foldStints } from '../../planner/program/fold';
import { readProgram } from '../../planner/program/read-program';
import type { Clocking, Program, Stint } from '../../planner/program/types';
import { writeProgram } from '../../planner/program/write-program';
import type { Glass, Lap, Slurry } from '../../planner/shelf/types';
import { demoShelf, exampleText, programText, read, readWell, STRAIGHT } from './reading';

const shelf = demoShelf();

/** All but where it was written. */
function bare(program: Program): unknown {
  return { ...program, file: '', stints: program.stints.map((stint) => ({ ...stint, line: 0 })) };
}

function readBack(text: string): Program {
  const { program, complaints } = readProgram(text, 'back.yaml', shelf);
  if (!program) throw new Error(`${complaints.map(({ line, message }) => `${line}: ${message}`).join('\n')}\n${text}`);
  return program;
}

const words = fc
  .oneof(
    fc.string({ minLength: 1, maxLength: 60, unit: 'grapheme' }),
    fc.constantFrom(
      'null',
      '3',
      '- x',
      'a: b',
      '#',
      '"',
      "it's",
      'Ease a ring at 90 mm',
      'line\nbreak',
      '{ }',
      '~',
      'a\\n',
    ),
  )
  .filter((text) => text.trim() === text && text !== '' && !text.includes('\ufffd'));
/** Lengths as people write them and as sums leave them. */
const length = (min: number, max: number) =>
  fc.oneof(
    fc.integer({ min: Math.ceil(min), max: Math.floor(max) }),
    fc.double({ min, max, noNaN: true }),
    fc.integer({ min: Math.ceil(min * 4), max: Math.floor(max * 4) }).map((n) => n / 4),
  );
const angle = fc.oneof(fc.constantFrom(40, -40, 90, 140), fc.double({ min: 0.5, max: 359, noNaN: true }));

const glass: fc.Arbitrary<Glass> = fc.oneof(
  fc.constant(shelf.glasses['glass-300']!),
  fc
    .record({
      title: words,
      bevelMm: fc.constantFrom(0, 1, 1.5),
      conicConstant: fc.constantFrom(-1, 0, -0.5, -1.02),
      radiusOfCurvatureMm: length(2000, 5000),
      thicknessMm: length(20, 60),
      material: words,
    })
    .map((part) => ({
      id: '',
      diameterMm: 310,
      clearApertureMm: 300,
      holeMm: 0,
      ...part,
    })),
);
const weights = fc.record({ addedN: length(0.5, 20), lapWeightN: length(0, 5), armWeightN: length(0, 5) });
const star = { shape: 'star', diameterMm: 81.5, points: 7, depthMm: 12.25 } as const;
const facets = { pitchMm: 11, channelMm: 1.5, offsetXMm: -3, offsetYMm: 2.75 };
const lap: fc.Arbitrary<Lap> = fc.oneof(
  fc.constantFrom(...Object.values(shelf.laps)),
  fc.tuple(fc.constantFrom(...Object.values(shelf.laps)), length(0.5, 20)).map(([known, addedN]) => ({
    ...known,
    load: { ...known.load, addedN },
  })),
  fc.record({
    id: fc.constant(''),
    title: words,
    outline: fc.constantFrom({ shape: 'round', diameterMm: 60 } as const, star),
    facets: fc.constantFrom(null, facets),
    load: weights,
    pivotHeightMm: length(0, 12),
    friction: fc.constantFrom(0, 0.3, 0.275),
    rotation: fc.constantFrom('driven', 'free'),
  }),
);
const slurry: fc.Arbitrary<Slurry | null> = fc.oneof(
  fc.constantFrom(null, shelf.slurries['cerium-fine']!),
  fc.record({ id: fc.constant(''), title: words, wetMinutes: fc.constantFrom(8, 7.5, 12.25) }),
);

/** A name as reading makes it for what is written out. */
function named<T extends { id: string; title: string } | null>(thing: T): T {
  if (thing === null || thing.id !== '') return thing;
  const id = thing.title
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '')
    .slice(0, 64);
  return { ...thing, id: id || 'written-out' };
}

function clocking(free: boolean): fc.Arbitrary<Clocking> {
  if (free) return fc.constant({ kind: 'free' });
  return fc.oneof(
    fc.constant<Clocking>({ kind: 'none' }),
    fc.record({
      kind: fc.constant('steps' as const),
      everyStrokes: fc.integer({ min: 1, max: 9 }),
      askedDeg: angle,
      share: fc.constantFrom(0.3, 0.5, 0.125),
    }),
    fc.record({ kind: fc.constant('steady' as const), lapTurnsPerTurn: fc.constantFrom(0.37, -0.37, 1.618) }),
    fc.record({
      kind: fc.constant('byHand' as const),
      everyTurns: fc.integer({ min: 1, max: 5 }),
      byDeg: fc.constantFrom(140, 100, -37.5),
    }),
    fc.constant<Clocking>({ kind: 'byHand', everyTurns: 3, byDeg: 140 }),
  );
}

const stintOf = (free: boolean): fc.Arbitrary<Stint> =>
  fc
    .record({
      turns: fc.integer({ min: 1, max: 30 }),
      shape: fc.constantFrom('straight' as const, 'ellipse' as const),
      settingMm: length(30, 100),
      lengthMm: length(1, 150),
      widthMm: length(1, 50),
      sense: fc.constantFrom<1 | -1>(1, -1),
      strokesPerMinute: fc.constantFrom(44, 45, 37.5),
      rateTolerance: fc.constantFrom(0.1, 0.08, 0.123456),
      nudge: fc.option(
        fc.record({ everyStrokes: fc.integer({ min: 1, max: 9 }), byMm: fc.oneof(length(1, 5), length(-5, -1)) }),
        { nil: null },
      ),
      clocking: clocking(free),
    })
    .map((part) => ({
      ...part,
      ...(part.shape === 'straight' && { widthMm: 0, sense: 1 as const }),
      line: 0,
      group: 0,
    }));

type Written = Stint | { times: number; list: Written[] };
const tree = (free: boolean): fc.Arbitrary<Written[]> =>
  fc.letrec<{ list: Written[]; step: Written }>((tie) => ({
    step: fc.oneof(
      { maxDepth: 3, withCrossShrink: true },
      stintOf(free),
      fc.record({ times: fc.integer({ min: 1, max: 4 }), list: tie('list') }),
    ),
    list: fc.array(tie('step'), { minLength: 1, maxLength: 3 }),
  })).list;

/** Unrolls a list as reading does, numbering the stints as they are written. */
function unroll(list: readonly Written[]): Stint[] {
  let next = 0;
  const number = (step: Written): Written =>
    'times' in step ? { ...step, list: step.list.map(number) } : { ...step, group: next++ };
  const roll = (step: Written): Stint[] =>
    'times' in step ? Array.from({ length: step.times }, () => step.list.flatMap(roll)).flat() : [step];
  return list.map(number).flatMap(roll);
}

const anyProgram: fc.Arbitrary<Program> = lap.chain((chosen) =>
  fc
    .record({
      title: words,
      glass,
      slurry,
      turntableRpm: fc.constantFrom(2.5, 1.75, 3),
      list: tree(chosen.rotation === 'free'),
    })
    .map(({ list, ...rest }) => ({
      ...rest,
      file: '',
      glass: named(rest.glass),
      slurry: named(rest.slurry),
      lap: named(chosen),
      stints: unroll(list),
    })),
);

describe('a written program', () => {
  it.each(['mm', 'in'] as const)('is read back to an equal one, lengths in %s', (lengths) => {
    fc.assert(
      fc.property(anyProgram, (program) => {
        expect(bare(readBack(writeProgram(program, { shelf, lengths })))).toEqual(bare(program));
      }),
      { seed: 7_301, numRuns: 300 },
    );
  });

  it.each([
    'raised-ring.yaml',
    'long-mixed.yaml',
    'by-hand.yaml',
    'free-lap.yaml',
    'inches.yaml',
    'steady-turning.yaml',
  ])('keeps the example %s, and its repeats', (name) => {
    const program = readWell(exampleText(name));
    const text = writeProgram(program, { shelf });
    expect(bare(readBack(text))).toEqual(bare(program));
    const repeats = (of: string): number => of.match(/^ *- (?:repeat|alternate):/gm)?.length ?? 0;
    expect(repeats(text)).toBe(repeats(exampleText(name)));
  });

  it('calls what is on the shelf by name, also where only the load is another one', () => {
    const program = readWell(exampleText('raised-ring.yaml'));
    const text = writeProgram(
      { ...program, lap: { ...program.lap, load: { ...program.lap.load, addedN: 3.5 } } },
      { shelf },
    );
    expect(text).toContain('\nglass: glass-300\nlap: star-80\nload: 3.5 N\nslurry: cerium-fine\n');
    expect(writeProgram(program, { shelf })).not.toContain('load:');
  });

  it('writes inches where a short number of them is exact, and mm elsewhere', () => {
    const program = readWell(exampleText('raised-ring.yaml'));
    const stints = [{ ...program.stints[0]!, settingMm: 88.9, lengthMm: 80 / 3 }];
    const text = writeProgram({ ...program, stints }, { shelf, lengths: 'in' });
    expect(text).toContain('at: 3.5 in');
    expect(text).toContain(`length: ${80 / 3} mm`);
  });
});

describe('folding', () => {
  const shape = (steps: readonly Folded[]): string =>
    steps.map((step) => (step.kind === 'stint' ? step.stint.group : `${step.times}x(${shape(step.steps)})`)).join(' ');
  const stints = (groups: string): Stint[] => {
    const [first] = readWell(exampleText('raised-ring.yaml')).stints;
    return [...groups].map((group) => ({ ...first!, group: Number(group) }));
  };

  it.each([
    ['0', '0'],
    ['01', '0 1'],
    ['000', '3x(0)'],
    ['012012', '2x(0 1 2)'],
    ['3001001', '3 2x(2x(0) 1)'],
    ['0011', '2x(0) 2x(1)'],
    ['010', '0 1 0'],
    ['01021', '0 1 0 2 1'],
  ])('of %s gives %s', (groups, folded) => {
    expect(shape(foldStints(stints(groups)))).toBe(folded);
  });

  it('does not take stints of one group for repeats when they differ', () => {
    const [a, b] = stints('00') as [Stint, Stint];
    expect(shape(foldStints([a, { ...b, turns: b.turns + 1 }]))).toBe('0 0');
  });
});

describe('the load at the top of a program', () => {
  const at = (header: Record<string, string>) => programText(`- { turns: 3, ${STRAIGHT} }`, header);

  it('stands for what is put on the lap; the weights of lap and arm stay', () => {
    const { load } = shelf.laps['round-60']!;
    expect(readWell(at({ load: '0.25 kgf' })).lap.load).toEqual({ ...load, addedN: 2.4516625 });
    expect(readWell(at({})).lap.load).toEqual(load);
  });

  it('must leave something that presses', () => {
    const lap =
      '{ title: L, outline: round, diameter: 60 mm, load: { added: 2 N, lapWeight: 0 N, armWeight: 0 N }, pivotHeight: 4 mm, friction: 0.3, rotation: driven }';
    const { program, complaints } = read(at({ lap, load: '0 N' }));
    expect(program).toBeNull();
    expect(complaints).toMatchObject([{ field: 'load', line: 7 }]);
  });
});
