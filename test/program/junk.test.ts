import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readProgram } from '../../planner/program/read-program';
import { MAX_TURNS } from '../../planner/program/types';
import { readShelf } from '../../planner/shelf/read-shelf';
import { readStand } from '../../planner/stand/read-stand';
import { demoShelf, exampleText } from './reading';

const shelf = demoShelf();

/** Either a program that holds together, or complaints with places inside the file. */
function expectSense(text: string): 'program' | 'complaints' {
  const { program, complaints } = readProgram(text, 'junk.yaml', shelf);
  const lines = text.split('\n');
  expect(program === null).toBe(complaints.length > 0);
  for (const { line, column, message, file } of complaints) {
    expect(file).toBe('junk.yaml');
    expect(line).toBeGreaterThanOrEqual(1);
    expect(line).toBeLessThanOrEqual(lines.length);
    expect(column).toBeGreaterThanOrEqual(1);
    expect(column).toBeLessThanOrEqual((lines[line - 1] ?? '').length + 1);
    expect(message.length).toBeGreaterThan(10);
  }
  if (!program) return 'complaints';
  const turns = program.stints.reduce((sum, stint) => sum + stint.turns, 0);
  expect(turns).toBeGreaterThan(0);
  expect(turns).toBeLessThanOrEqual(MAX_TURNS);
  for (const stint of program.stints) {
    expect(Number.isInteger(stint.turns) && stint.turns > 0).toBe(true);
    expect(stint.settingMm >= 0 && stint.lengthMm > 0 && stint.strokesPerMinute > 0).toBe(true);
    expect(stint.shape === 'ellipse').toBe(stint.widthMm > 0);
  }
  return 'program';
}

describe('whatever stands in a file, reading gives a program or complaints with their places', () => {
  it('random text', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'binary', maxLength: 300 }), (text) => void expectSense(text)),
      { seed: 50, numRuns: 1500 },
    );
  });

  it('random bytes', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 300 }), (bytes) => void expectSense(new TextDecoder().decode(bytes))),
      { seed: 51, numRuns: 1500 },
    );
  });

  it('random pieces of YAML', () => {
    const piece = fc.constantFrom(
      ...[
        'wholeturn: 1',
        'do:',
        '- ',
        '\n',
        '\n  ',
        '{',
        '}',
        '[',
        ']',
        ', ',
        ': ',
        '? ',
        '&a ',
        '*a',
        '!!int ',
        '"',
        "'",
        '|\n',
        '>-\n',
        '#',
        '%',
        '---\n',
        '...\n',
      ],
      ...[
        'turns',
        'stroke',
        'ellipse',
        'at',
        '90 mm',
        'repeat',
        'alternate',
        'clock',
        'by hand',
        '3',
        '-1',
        '.nan',
        '1e999',
        '<<',
        '\t',
        '\r',
        'null',
        '~',
      ],
    );
    fc.assert(
      fc.property(fc.array(piece, { maxLength: 60 }), (pieces) => void expectSense(pieces.join(''))),
      { seed: 52, numRuns: 2500 },
    );
  });

  it('good programs with a few characters changed', () => {
    const outcomes = { program: 0, complaints: 0 };
    const base = fc.constantFrom(
      exampleText('raised-ring.yaml'),
      exampleText('free-lap.yaml'),
      exampleText('by-hand.yaml'),
    );
    const change = fc.record({
      at: fc.nat(2000),
      drop: fc.nat(3),
      put: fc.constantFrom(
        '',
        ' ',
        '\n',
        '0',
        '9',
        '-',
        ':',
        '{',
        ']',
        '"',
        'mm',
        '\u00e9',
        '.',
        ',',
        '#',
        '&x ',
        '*x',
      ),
    });
    fc.assert(
      fc.property(base, fc.array(change, { minLength: 1, maxLength: 3 }), (text, changes) => {
        const changed = changes.reduce((sofar, { at, drop, put }) => {
          const place = at % sofar.length;
          return sofar.slice(0, place) + put + sofar.slice(place + drop);
        }, text);
        outcomes[expectSense(changed)] += 1;
      }),
      { seed: 53, numRuns: 800 },
    );
    expect(outcomes.program).toBeGreaterThan(100);
    expect(outcomes.complaints).toBeGreaterThan(100);
  });

  it('any values under the keys of a program', () => {
    const value = fc.oneof(
      fc.constantFrom(
        '1',
        '11',
        '0',
        '-3',
        '2.5',
        '.inf',
        '[]',
        '{}',
        '~',
        'true',
        'x',
        '90 mm',
        '4 in',
        '40 deg',
        '4 min',
        '44 /min',
        '2.5 rpm',
      ),
      fc.constantFrom(
        'straight',
        'ellipse',
        'free',
        'by hand',
        '{ every: 3, by: 40 deg }',
        '{ steady: 0.4 }',
        '{ every: 2, by: 9 mm }',
      ),
      fc.double().map(String),
    );
    const keys = [
      'turns',
      'atLeast',
      'stroke',
      'at',
      'length',
      'width',
      'sense',
      'nudge',
      'clock',
      'rate',
      'rateTolerance',
      'repeat',
      'alternate',
    ];
    const stint = fc.dictionary(fc.constantFrom(...keys), value).map((entries) => {
      const pairs = Object.entries({ turns: '3', stroke: 'straight', at: '90 mm', length: '60 mm', ...entries });
      return `{ ${pairs.map(([key, each]) => `${key}: ${each}`).join(', ')} }`;
    });
    const list = fc.letrec<{ list: string; step: string }>((tie) => ({
      list: fc.array(tie('step'), { minLength: 1, maxLength: 3 }).map((steps) => `[ ${steps.join(', ')} ]`),
      step: fc.oneof(
        { depthSize: 'small', maxDepth: 3 },
        stint,
        fc
          .tuple(fc.constantFrom('repeat', 'alternate'), value, tie('list'))
          .map(([key, n, steps]) => `{ ${key}: ${n}, do: ${steps} }`),
      ),
    }));
    fc.assert(
      fc.property(list.list, (steps) => {
        expectSense(
          `wholeturn: 1\ntitle: t\nglass: glass-300\nlap: round-60\nturntable: 2.5 rpm\nrate: 44 /min\ndo: ${steps}\n`,
        );
      }),
      { seed: 54, numRuns: 800 },
    );
  });

  it('shelves and stands too', () => {
    const base = fc.constantFrom(exampleText('shelf.yaml'), exampleText('stand.yaml'));
    fc.assert(
      fc.property(base, fc.nat(3000), fc.string({ unit: 'binary', maxLength: 5 }), fc.nat(8), (text, at, put, drop) => {
        const place = at % text.length;
        const changed = text.slice(0, place) + put + text.slice(place + drop);
        const asShelf = readShelf(changed, 'junk.yaml');
        const asStand = readStand(changed, 'junk.yaml');
        expect(asShelf.shelf === null).toBe(asShelf.complaints.length > 0);
        expect(asStand.stand === null).toBe(asStand.complaints.length > 0);
        expect(asShelf.shelf === null || asStand.stand === null).toBe(true);
        for (const { line, column } of [...asShelf.complaints, ...asStand.complaints]) {
          expect(line >= 1 && column >= 1).toBe(true);
        }
      }),
      { seed: 55, numRuns: 800 },
    );
  });
});
