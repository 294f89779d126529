import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { wholeTurns } from '../../planner/program/stint';
import { MAX_TURNS, type Stint } from '../../planner/program/types';
import { demoShelf, ELLIPSE, programText, readWell, STRAIGHT } from './reading';

const stints = (list: string, header = {}) => readWell(programText(list, header)).stints;

describe('a program', () => {
  it('carries what the shelf says about its glass, lap and slurry', () => {
    const shelf = demoShelf();
    const program = readWell(programText(`- { turns: 3, ${STRAIGHT} }`, { slurry: 'cerium-fine' }));
    expect(program).toMatchObject({ title: 'A test', file: 'test.yaml', turntableRpm: 2.5 });
    expect(program.glass).toEqual(shelf.glasses['glass-300']);
    expect(program.lap).toEqual(shelf.laps['round-60']);
    expect(program.slurry).toEqual(shelf.slurries['cerium-fine']);
  });

  it('has no slurry when none is named', () => {
    expect(readWell(programText(`- { turns: 3, ${STRAIGHT} }`)).slurry).toBeNull();
  });

  it('may write its glass and lap out, and names them by their titles', () => {
    const glass =
      '{ title: Small glass No. 2, diameter: 6 in, radiusOfCurvature: 1.2 m, conicConstant: 0, material: plate, thickness: 25 mm }';
    const lap =
      '{ title: "*", outline: star, diameter: 40 mm, points: 6, depth: 8 mm, load: { added: 0.1 kgf, lapWeight: 80 gf, armWeight: 0 N }, pivotHeight: 4 mm, friction: 0.25, rotation: driven }';
    const program = readWell(programText('- { turns: 3, stroke: straight, at: 40 mm, length: 40 mm }', { glass, lap }));
    expect(program.glass).toEqual({
      id: 'small-glass-no-2',
      title: 'Small glass No. 2',
      diameterMm: 152.4,
      clearApertureMm: 152.4,
      bevelMm: 0,
      holeMm: 0,
      radiusOfCurvatureMm: 1200,
      conicConstant: 0,
      material: 'plate',
      thicknessMm: 25,
    });
    expect(program.lap).toMatchObject({
      id: 'written-out',
      outline: { shape: 'star', diameterMm: 40, points: 6, depthMm: 8 },
      facets: null,
      load: { addedN: 0.980665, lapWeightN: 0.784532, armWeightN: 0 },
    });
  });
});

describe('a stint', () => {
  it('comes out in mm, degrees and whole turns, with its line', () => {
    const [stint] = stints(
      `- turns: 11 turns
  stroke: ellipse
  at: 3.5 in
  length: 8 cm
  width: 16 mm
  sense: clockwise
  nudge: { every: 5 strokes, by: -0.5 in }
  clock: { every: 3, by: 0.1 turns, share: 40 % }
  rate: 40 /min
  rateTolerance: 5 %`,
    );
    expect(stint).toEqual({
      turns: 11,
      shape: 'ellipse',
      settingMm: 88.9,
      lengthMm: 80,
      widthMm: 16,
      sense: -1,
      strokesPerMinute: 40,
      rateTolerance: 0.05,
      nudge: { everyStrokes: 5, byMm: -12.7 },
      clocking: { kind: 'steps', everyStrokes: 3, askedDeg: 36, share: 0.4 },
      line: 8,
      group: 0,
    } satisfies Stint);
  });

  it('takes the rest from the program and from the defaults', () => {
    expect(stints(`- { turns: 3, ${STRAIGHT} }`)[0]).toMatchObject({
      widthMm: 0,
      sense: 1,
      strokesPerMinute: 44,
      rateTolerance: 0.1,
      nudge: null,
      clocking: { kind: 'none' },
    });
  });

  it.each([
    ['none', { kind: 'none' }],
    ['by hand', { kind: 'byHand', everyTurns: 3, byDeg: 140 }],
    ['{ byHand: { every: 2 turns, by: -50 deg } }', { kind: 'byHand', everyTurns: 2, byDeg: -50 }],
    ['{ byHand: {} }', { kind: 'byHand', everyTurns: 3, byDeg: 140 }],
    ['{ every: 3, by: 40 deg }', { kind: 'steps', everyStrokes: 3, askedDeg: 40, share: 0.3 }],
    ['{ steady: 0.37 turns }', { kind: 'steady', lapTurnsPerTurn: 0.37 }],
    ['{ steady: -2.37 }', { kind: 'steady', lapTurnsPerTurn: -2.37 }],
  ])('clock: %s', (clock, clocking) => {
    expect(stints(`- { turns: 3, ${STRAIGHT}, clock: ${clock} }`)[0]?.clocking).toEqual(clocking);
  });

  it('with a free lap is free, said or not', () => {
    const lap =
      '{ title: F, outline: round, diameter: 50 mm, load: { added: 1 N, lapWeight: 1 N, armWeight: 0 N }, pivotHeight: 5 mm, friction: 0.3, rotation: free }';
    const both = stints(`- { turns: 3, ${STRAIGHT} }\n- { turns: 3, ${STRAIGHT}, clock: free }`, { lap });
    expect(both.map(({ clocking }) => clocking)).toEqual([{ kind: 'free' }, { kind: 'free' }]);
  });

  it('may end exactly at the edge of the face, and may cross the middle with its chord', () => {
    // 3-4-5: sqrt(119.2^2 + 89.4^2) = 149 mm, the face inside the bevel.
    expect(stints('- { turns: 3, stroke: straight, at: 119.2 mm, length: 178.8 mm }')).toHaveLength(1);
    expect(stints('- { turns: 3, stroke: straight, at: 0 mm, length: 60 mm }')).toHaveLength(1);
  });
});

describe('at least so long', () => {
  it.each([
    ['4 min', '2.5 rpm', 10],
    ['4.01 min', '2.5 rpm', 11],
    ['1 s', '2.5 rpm', 1],
    // 2.8 min at 2.5 rpm is 7 turns; the quotient of the doubles is 7.000000000000001.
    ['2.8 min', '2.5 rpm', 7],
    ['24 s', '2.5 rpm', 1],
    ['0.7 h', '0.1 rpm', 5],
  ])('%s at %s is %d turns', (atLeast, turntable, turns) => {
    expect(stints(`- { atLeast: ${atLeast}, ${STRAIGHT}, rate: 5 /min }`, { turntable })[0]?.turns).toBe(turns);
  });

  it('an exact whole number of turns stays, anything above it is rounded up', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 5000 }), fc.integer({ min: 1, max: 60_00 }), (turns, hundredths) => {
        const rpm = hundredths / 100;
        const seconds = (turns * 60) / rpm;
        expect(wholeTurns(seconds, rpm)).toBe(turns);
        expect(wholeTurns(seconds * (1 + 1e-6), rpm)).toBe(turns + 1);
        expect(wholeTurns(seconds * (1 - 1e-6), rpm)).toBe(turns);
      }),
      { seed: 30, numRuns: 2000 },
    );
  });
});

describe('repeats and alternations', () => {
  const turnsAndGroups = (list: string) => stints(list).map(({ turns, group }) => `${turns}:${group}`);

  it('a repeat gives its list again and again; what one place of the file gives is one group', () => {
    const list = `- repeat: 3
  do:
    - { turns: 2, ${STRAIGHT} }
    - { turns: 1, ${ELLIPSE} }
- { turns: 4, ${STRAIGHT} }`;
    expect(turnsAndGroups(list)).toEqual(['2:0', '1:1', '2:0', '1:1', '2:0', '1:1', '4:2']);
    expect(stints(list).map(({ line }) => line)).toEqual([10, 11, 10, 11, 10, 11, 12]);
  });

  it('stints on one line of the file are groups of their own', () => {
    expect(turnsAndGroups(`  [ { turns: 2, ${STRAIGHT} }, { turns: 2, ${STRAIGHT} } ]`)).toEqual(['2:0', '2:1']);
  });

  it('repeats may stand in repeats', () => {
    const list = `- repeat: 2
  do:
    - repeat: 2
      do:
        - { turns: 1, ${STRAIGHT} }
    - { turns: 3, ${ELLIPSE} }`;
    expect(turnsAndGroups(list)).toEqual(['1:0', '1:0', '3:1', '1:0', '1:0', '3:1']);
  });

  it('an alternation goes through its patterns until exactly so many turns are done, one turn each unless they say more', () => {
    const list = `- alternate: 9 turns
  do:
    - { turns: 2, ${STRAIGHT} }
    - { ${ELLIPSE} }`;
    expect(turnsAndGroups(list)).toEqual(['2:0', '1:1', '2:0', '1:1', '2:0', '1:1']);
  });

  it('an alternation may hold times and repeats', () => {
    const list = `- alternate: 14 turns
  do:
    - { atLeast: 40 s, ${STRAIGHT} }
    - { repeat: 5, do: [ { turns: 1, ${ELLIPSE} } ] }`;
    expect(turnsAndGroups(list)).toEqual([
      '2:0',
      '1:1',
      '1:1',
      '1:1',
      '1:1',
      '1:1',
      '2:0',
      '1:1',
      '1:1',
      '1:1',
      '1:1',
      '1:1',
    ]);
  });

  it('exactly the most turns a program may have are still read', () => {
    expect(
      stints(`- { repeat: 20, do: [ { turns: 1000, ${STRAIGHT} } ] }`).reduce((sum, { turns }) => sum + turns, 0),
    ).toBe(MAX_TURNS);
  });

  it('what is done every so many strokes may need several stints of its group', () => {
    // 17.6 strokes a turn and 10 % more at most: 19 in one turn, 58 in three.
    expect(stints(`- { repeat: 3, do: [ { turns: 1, ${STRAIGHT}, nudge: { every: 40, by: 9 mm } } ] }`)).toHaveLength(
      3,
    );
  });
});

it('files saved on other systems read the same', () => {
  const text = programText(`- { turns: 3, ${STRAIGHT} }`);
  const plain = readWell(text);
  expect(readWell(`\ufeff${text}`)).toEqual(plain);
  expect(readWell(text.replaceAll('\n', '\r\n'))).toEqual(plain);
  expect(readWell(`%YAML 1.1\n---\n${text}`).stints[0]?.turns).toBe(3);
});
