import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { readShelf } from '../../planner/shelf/read-shelf';
import { readStand } from '../../planner/stand/read-stand';
import { ELLIPSE, EXAMPLES, exampleText, marked, placesOf, programText, read, STRAIGHT } from './reading';

/** Every `¦` in a text is a place that must be complained about, and there must be no complaint elsewhere. */
function expectComplaints(textWithMarks: string, ...messages: RegExp[]): void {
  const { text, places } = marked(textWithMarks);
  const { program, complaints } = read(text);
  expect(program).toBeNull();
  expect(placesOf(complaints)).toEqual(places);
  messages.forEach((message, index) => {
    expect(complaints[index]?.message).toMatch(message);
  });
  for (const { file } of complaints) expect(file).toBe('test.yaml');
}

const GOOD = `- { turns: 3, ${STRAIGHT} }`;

describe('a file that is no program', () => {
  it.each([
    ['nothing at all', '¦', /empty/],
    ['only a comment', '¦# nothing yet\n', /empty/],
    ['only a document mark', '---¦\n', /Wanted here: a program/],
    ['a list', '¦- 1\n- 2\n', /Wanted here: a program/],
    ['a sentence', '¦polish the middle\n', /Wanted here: a program/],
    ['binary junk', 'wholeturn: 1\ntitle: a¦\u0000b\n', /bytes that are not text/],
    ['bytes that are no UTF-8', `title: ¦${new TextDecoder().decode(new Uint8Array([0xff, 0xfe]))}\n`, /UTF-8/],
    ['two documents', `${programText(GOOD)}¦---\na: 1\n`, /second document/],
    ['a bracket left open', 'do: [ { turns: 3 }\n¦', /not well-formed YAML/],
    ['a tab for indenting', 'do:\n¦\t- turns: 3\n', /tab/],
    ['a tag', 'title: ¦!photo x\n', /Unresolved tag/],
    ['a key without its colon', 'wholeturn: 1\n¦title t\nlap: x\n', /a key is wanted here, with a colon/],
    ['a title with a colon in it', 'title: ¦Zone 3: second run\n', /colon too many.*in quotes/],
    ['a line that begins too far in', 'do:\n  - turns: 6\n¦   stroke: straight\n', /same number of spaces/],
    ['a line that begins too far out', 'do:\n  - turns: 6\n¦  stroke: straight\n', /same number of spaces/],
    ['a stint without its closing bracket', 'do:\n  - { turns: 3\n¦', /not closed before here; "}" is missing/],
    ['a quote left open', 'title: ¦"a\n', /the quote that opens here is not closed/],
    ['a quote left open in a key', 'wholeturn: 1\n¦"title: x\nlap: y\n', /the quote that opens here is not closed/],
    ['a bracket too many', 'do: [ { turns: 3 } ]¦]\n', /a bracket or a quote too many/],
    ['a unit behind a closed quote', 'rate: "5" ¦mm\n', /a bracket or a quote too many/],
    ['a value with a reserved character', 'title: ¦@zone\n', /cannot begin with this character/],
  ])('%s', (_, text, message) => {
    const { places } = marked(text);
    const { program, complaints } = read(marked(text).text);
    expect(program).toBeNull();
    expect(placesOf(complaints)[0]).toBe(places[0]);
    expect(complaints[0]?.message).toMatch(message);
  });

  it.each([
    ['in double quotes', `title: ¦"Ease a ring\nglass: g\ndo:\n  - { turns: 3 }\n`],
    ['in single quotes', `title: ¦'Ease a ring\nglass: g\ndo:\n  - { turns: 3 }\n`],
    ['closed by the next one', `title: ¦"Ease a ring\nglass: "g"\ndo:\n  - { turns: 3 }\n`],
    ['within brackets', 'do:\n  - { turns: 3, at: ¦"90 mm, length: 80 mm }\n  - { turns: 3, at: 90 mm }\n'],
    ['after another slip, which is told too', `¦title t\nglass: ¦"g\ndo:\n  - { turns: 3 }\n`],
  ])('a quote left open is told once, where it opens: %s', (_, text) => {
    const { places } = marked(text);
    const { complaints } = read(marked(text).text);
    expect(placesOf(complaints)).toEqual(places);
    expect(complaints.at(-1)?.message).toMatch(/the quote that opens here is not closed/);
  });

  it.each([
    ['a stand', exampleText('stand.yaml'), /^This seems to be a stand, not a stroke program: .* is wanted here/],
    ['a shelf', exampleText('shelf.yaml'), /^This seems to be a shelf, not a stroke program: /],
    ['a measurement', exampleText('measured/first.yaml'), /^This seems to be a measurement, not a stroke program: /],
    ['a page of text', readFileSync(join(EXAMPLES, '../../README.md'), 'utf8'), /^This is no file of Wholeturn: /],
    ['a source', readFileSync(join(EXAMPLES, '../reading/nearest.ts'), 'utf8'), /^This is no file of Wholeturn: /],
  ])('another kind of file is told in one line, and nothing else: %s', (_, text, message) => {
    const { program, complaints } = read(text);
    expect(program).toBeNull();
    expect(placesOf(complaints)).toEqual(['1:1']);
    expect(complaints[0]?.message).toMatch(message);
  });

  it.each([
    [readStand, 'raised-ring.yaml', /^This seems to be a stroke program, not a stand: /],
    [readStand, 'shelf.yaml', /^This seems to be a shelf, not a stand: /],
    [readShelf, 'stand.yaml', /^This seems to be a stand, not a shelf: /],
    [readShelf, 'raised-ring.yaml', /^This seems to be a stroke program, not a shelf: /],
  ] as const)('%o of %s', (reader, name, message) => {
    expect(reader(exampleText(name), name).complaints).toEqual([
      { file: name, line: 1, column: 1, field: '', message: expect.stringMatching(message) },
    ]);
  });

  it('a stand with a key of another kind is still read as a stand', () => {
    const { complaints } = readStand(`${exampleText('stand.yaml')}laps: {}\n`, 'stand.yaml');
    expect(complaints.map(({ field }) => field)).toEqual(['laps']);
  });

  it('a file larger than 256 KiB is not read', () => {
    expectComplaints(`¦${programText(GOOD)}${'#'.repeat(262_144)}`, /larger than 256 KiB/);
  });

  it('nesting without end is refused, not followed', () => {
    const { program, complaints } = read(`do: ${'['.repeat(100_000)}`);
    expect(program).toBeNull();
    expect(complaints.some(({ message }) => /nested too deep/.test(message))).toBe(true);
  });

  it('references to other places are refused before anything is multiplied', () => {
    const bomb = [
      'a: &a [x, x]',
      ...'bcdefghi'.split('').map((name, i) => `${name}: &${name} [¦*${'abcdefgh'[i]}, ¦*${'abcdefgh'[i]}]`),
    ];
    expectComplaints(`${bomb.join('\n')}\n`, /Write it out/);
  });

  it('lists a hundred complaints at most and says how many are left out', () => {
    const { complaints } = read(programText(Array.from({ length: 300 }, () => '- { turns: 0 }').join('\n')));
    expect(complaints).toHaveLength(101);
    expect(complaints[100]?.message).toMatch(/^\d+ more complaints/);
  });
});

describe('the top of a program', () => {
  it('keys that are missing are named where the program begins', () => {
    const { complaints } = read('title: x\n');
    expect(complaints.map(({ field }) => field).sort()).toEqual(['do', 'glass', 'lap', 'turntable', 'wholeturn']);
    expect(placesOf(complaints)).toEqual(['1:1', '1:1', '1:1', '1:1', '1:1']);
  });

  it('an unknown key is complained about with the nearest known one', () => {
    expectComplaints(`¦titel: x\n${programText(GOOD)}`, /"titel" is not known in a program\. Did you mean "title"\?/);
  });

  it('a key given twice is complained about where it comes again', () => {
    expectComplaints(`${programText(GOOD)}¦rate: 40 /min\n`, /already given in line 6/);
  });

  it.each([
    ['another format', { wholeturn: '¦2' }, /format/],
    ['a speed without a unit', { turntable: '¦2.5' }, /has no unit.*rpm/],
    ['a speed in the wrong unit', { turntable: '¦2.5 mm' }, /"mm", the unit of a length/],
    ['a turntable that stands still', { turntable: '¦0 rpm' }, /above 0/],
    ['a turntable that turns backwards', { turntable: '¦-2 rpm' }, /above 0/],
    ['a speed beyond sense', { turntable: '¦4000 rpm' }, /at most 60 rpm/],
    ['a rate that is no number', { rate: '¦.nan' }, /does not begin with a number/],
    ['a list for a title', { title: '¦[a]' }, /some words are wanted/],
    ['no title after the key', { title: '¦""' }, /it is empty/],
    ['a glass that is not on the shelf', { glass: '¦glas-300' }, /no glass "glas-300".*Did you mean "glass-300"/],
    ['a lap that is not on the shelf', { lap: '¦__proto__' }, /no lap/],
    ['a rate far above the turntable', { rate: '¦600 /min', turntable: '0.1 rpm' }, /6000 strokes to a turn/],
  ])('%s', (_, header, message) => {
    expectComplaints(programText(GOOD, header), message);
  });

  it('a glass written out is judged too', () => {
    const glass =
      '{ title: x, diameter: 200 mm, bevel: 1 mm, clearAperture: ¦199 mm, radiusOfCurvature: 2 m, conicConstant: 0, material: x, thickness: 20 mm }';
    expectComplaints(
      programText(`- { turns: 3, stroke: straight, at: 50 mm, length: 50 mm }`, { glass }),
      /wider than the face/,
    );
  });

  it('no rate anywhere is complained about at each stint that needs one', () => {
    const text = programText(`- { turns: 3, ${STRAIGHT}, rate: 40 /min }\n- ¦{ turns: 3, ${STRAIGHT} }`).replace(
      'rate: 44 /min\n',
      '',
    );
    expectComplaints(text, /rate: 44 \/min here, or once at the top/);
  });

  it('a wrong rate at the top is complained about once, not at each stint', () => {
    expectComplaints(programText(`${GOOD}\n${GOOD}`, { rate: '¦44 mm' }));
  });
});

describe('a stint', () => {
  it.each([
    ['no turns', `- ¦{ ${STRAIGHT} }`, /turns: 11, or atLeast: 4 min/],
    ['turns and a time', `- { turns: 3, atLeast: ¦4 min, ${STRAIGHT} }`, /Keep one/],
    ['nought turns', `- { turns: ¦0, ${STRAIGHT} }`, /at least 1 turn and at most 20000 turns/],
    ['negative turns', `- { turns: ¦-3, ${STRAIGHT} }`, /at least 1/],
    ['a part of a turn', `- { turns: ¦2.5, ${STRAIGHT} }`, /not a whole number.*astigmatism/],
    ['turns that are no number', `- { turns: ¦.nan, ${STRAIGHT} }`, /does not begin with a number/],
    ['endless turns', `- { turns: ¦.inf, ${STRAIGHT} }`, /does not begin with a number/],
    ['turns in a time', `- { turns: ¦4 min, ${STRAIGHT} }`, /unit of a duration/],
    ['turns in a list', `- { turns: ¦[3], ${STRAIGHT} }`, /A list or a group of keys/],
    ['turns left empty', `- { turns: ¦, ${STRAIGHT} }`, /Nothing stands here/],
    ['more turns than a program may have', `- { turns: ¦20001, ${STRAIGHT} }`, /at most 20000/],
    ['a time of nothing', `- { atLeast: ¦0 min, ${STRAIGHT} }`, /above 0/],
    [
      'an unknown shape',
      `- { turns: 3, stroke: ¦elipse, at: 90 mm, length: 80 mm }`,
      /write straight or ellipse.*Did you mean "ellipse"/,
    ],
    ['no setting', `- ¦{ turns: 3, stroke: straight, length: 80 mm }`, /"at" is missing/],
    [
      'a setting without a unit',
      `- { turns: 3, stroke: straight, at: ¦90, length: 80 mm }`,
      /has no unit.*mm, cm, m or in/,
    ],
    ['a negative setting', `- { turns: 3, stroke: straight, at: ¦-9 mm, length: 80 mm }`, /at least 0 mm/],
    ['a setting as an angle', `- { turns: 3, stroke: straight, at: ¦90 deg, length: 80 mm }`, /unit of an angle/],
    ['no length', `- { turns: 3, stroke: straight, at: 90 mm, length: ¦0 mm }`, /above 0 mm/],
    ['a width on a straight stroke', `- { turns: 3, ${STRAIGHT}, width: ¦16 mm }`, /straight stroke has no width/],
    ['a sense on a straight stroke', `- { turns: 3, ${STRAIGHT}, sense: ¦clockwise }`, /straight stroke has no sense/],
    [
      'an ellipse without a width',
      `- { turns: 3, stroke: ¦ellipse, at: 90 mm, length: 80 mm }`,
      /needs its full width/,
    ],
    ['a sense that is none', `- { turns: 3, ${ELLIPSE}, sense: ¦left }`, /anticlockwise or clockwise/],
    ['an unknown key', `- { turns: 3, ${STRAIGHT}, ¦nugde: 3 }`, /Did you mean "nudge"/],
    [
      'a key that resembles nothing',
      `- { turns: 3, ${STRAIGHT}, ¦colour: red }`,
      /"colour" is not known in a stint\. Known here/,
    ],
    ['a key that is a list', `- { turns: 3, ${STRAIGHT}, ¦[a]: red }`, /plain word/],
    ['a key given twice', `- { turns: 3, ${STRAIGHT}, ¦turns: 4 }`, /already given in line 8/],
    ['a stint that is a word', `- ¦polish`, /Wanted here: a stint/],
    ['a nudge every nought strokes', `- { turns: 3, ${STRAIGHT}, nudge: { every: ¦0, by: 9 mm } }`, /at least 1/],
    [
      'a nudge every two and a half',
      `- { turns: 3, ${STRAIGHT}, nudge: { every: ¦2.5, by: 9 mm } }`,
      /not a whole number/,
    ],
    [
      'a nudge counted in turns',
      `- { turns: 3, ${STRAIGHT}, nudge: { every: ¦3 turns, by: 9 mm } }`,
      /number of strokes is wanted/,
    ],
    ['a nudge of nothing', `- { turns: 3, ${STRAIGHT}, nudge: { every: 3, by: ¦0 mm } }`, /leave the nudge out/],
    ['a nudge without its offset', `- { turns: 3, ${STRAIGHT}, nudge: ¦{ every: 3 } }`, /"by" is missing/],
    [
      'a nudge that never comes',
      `- { turns: 1, ${STRAIGHT}, nudge: { every: ¦25, by: 9 mm } }`,
      /19 at most.*never be nudged/,
    ],
    [
      'a clocking that never comes',
      `- { turns: 1, ${STRAIGHT}, clock: { every: ¦25, by: 9 deg } }`,
      /19 at most.*never be clocked/,
    ],
    [
      'a clocking by nothing',
      `- { turns: 3, ${STRAIGHT}, clock: { every: 3, by: ¦0 deg } }`,
      /leaves the lap as it stands/,
    ],
    ['a clocking by a whole turn', `- { turns: 3, ${STRAIGHT}, clock: { every: 3, by: ¦360 deg } }`, /at most 359 deg/],
    ['a clocking by a length', `- { turns: 3, ${STRAIGHT}, clock: { every: 3, by: ¦40 mm } }`, /unit of a length/],
    [
      'a clocking longer than its stroke',
      `- { turns: 3, ${STRAIGHT}, clock: { every: 3, by: 40 deg, share: ¦120 % } }`,
      /at most 90 %/,
    ],
    ['a clocking nobody knows', `- { turns: 3, ${STRAIGHT}, clock: ¦by foot }`, /none, free or by hand/],
    ['a clocking that is only an angle', `- { turns: 3, ${STRAIGHT}, clock: ¦40 deg }`, /every: 3, by: 40 deg/],
    ['a time in turns', `- { atLeast: ¦4 turns, ${STRAIGHT} }`, /unit of a number of turns; a duration is wanted/],
    ['a clocking left empty', `- { turns: 3, ${STRAIGHT}, clock: ¦[] }`, /steady: 0\.37 turns/],
    [
      'a lap that turns with the turntable',
      `- { turns: 3, ${STRAIGHT}, clock: ¦{ steady: 1 } }`,
      /every turn.*uneven ratio/,
    ],
    ['a lap in a low ratio', `- { turns: 3, ${STRAIGHT}, clock: ¦{ steady: -0.75 } }`, /every 4 turns/],
    ['a lap turned by nothing', `- { turns: 3, ${STRAIGHT}, clock: ¦{ steady: 0 } }`, /uneven ratio/],
    [
      'hand clocking by strokes',
      `- { turns: 3, ${STRAIGHT}, clock: { byHand: { every: ¦3 strokes } } }`,
      /number of turns is wanted/,
    ],
    ['a driven lap left free', `- { turns: 3, ${STRAIGHT}, clock: ¦free }`, /held by the stand/],
    ['a rate beyond sense', `- { turns: 3, ${STRAIGHT}, rate: ¦700 /min }`, /at most 600/],
    ['a rate that gives no stroke', `- { turns: 1, ${STRAIGHT}, rate: ¦2 /min }`, /Not even one whole stroke/],
    ['a tolerance beyond half', `- { turns: 3, ${STRAIGHT}, rateTolerance: ¦60 % }`, /at most 50 %/],
  ])('%s', (_, list, message) => {
    expectComplaints(programText(list), message);
  });

  it('a free lap cannot be clocked', () => {
    const lap =
      '{ title: F, outline: round, diameter: 50 mm, load: { added: 1 N, lapWeight: 1 N, armWeight: 0 N }, pivotHeight: 5 mm, friction: 0.3, rotation: free }';
    expectComplaints(
      programText(`- { turns: 3, ${STRAIGHT}, clock: ¦{ every: 3, by: 40 deg } }`, { lap }),
      /nothing clocks or holds it/,
    );
  });
});

describe('a pattern that leaves the glass', () => {
  it.each([
    ['a setting beyond the edge', 'stroke: straight, at: ¦160 mm, length: 80 mm', /160 mm.*ends at 149 mm.*tips off/],
    // sqrt(145^2 + 40^2) = 150.4
    ['a chord whose ends lie beyond', 'stroke: straight, at: 145 mm, length: ¦80 mm', /ends reach 150\.4 mm/],
    ['an ellipse too far out', 'stroke: ellipse, at: 140 mm, length: 20 mm, width: ¦40 mm', /ellipse reaches 160 mm/],
    [
      'a nudge outwards beyond the edge',
      'stroke: straight, at: 140 mm, length: 40 mm, nudge: { every: 3, by: ¦-20 mm }',
      /nudged end reaches 161\.2 mm/,
    ],
    [
      'a nudge past the middle',
      'stroke: straight, at: 10 mm, length: 40 mm, nudge: { every: 3, by: ¦12 mm }',
      /cross the middle/,
    ],
    [
      'an ellipse wider than twice the setting',
      'stroke: ellipse, at: 10 mm, length: 40 mm, width: ¦22 mm',
      /at most 20 mm wide/,
    ],
    [
      'an ellipse whose nudge goes past the middle',
      'stroke: ellipse, at: 10 mm, length: 40 mm, width: 19 mm, nudge: { every: 3, by: ¦6 mm }',
      /cross the middle/,
    ],
  ])('%s', (_, pattern, message) => {
    expectComplaints(programText(`- { turns: 3, ${pattern} }`), message);
  });

  it('a lap smaller than the hole in the glass tips into it', () => {
    const glass =
      '{ title: x, diameter: 300 mm, hole: 100 mm, radiusOfCurvature: 3 m, conicConstant: -1, material: x, thickness: 40 mm }';
    expectComplaints(
      programText('- { turns: 3, stroke: straight, at: ¦30 mm, length: 40 mm }', { glass }),
      /over the hole/,
    );
  });

  it('is found although another key of the stint is wrong', () => {
    expectComplaints(programText('- { turns: ¦0, stroke: straight, at: ¦160 mm, length: 80 mm, clock: ¦by foot }'));
  });
});

describe('repeats and alternations', () => {
  it.each([
    ['a repeat of nothing', '- { repeat: 3, do: ¦[] }', /at least one/],
    ['a repeat without a list', '- ¦{ repeat: 3 }', /"do" is missing/],
    ['a repeat nought times', `- { repeat: ¦0, do: [ { turns: 3, ${STRAIGHT} } ] }`, /at least 1/],
    ['a repeat one and a half times', `- { repeat: ¦1.5, do: [ { turns: 3, ${STRAIGHT} } ] }`, /not a whole number/],
    [
      'a repeat with a stint of its own',
      `- { repeat: 2, ¦turns: 3, do: [ { turns: 3, ${STRAIGHT} } ] }`,
      /not known in a repeat/,
    ],
    [
      'an alternation that does not come out',
      `- { alternate: ¦13 turns, do: [ { turns: 2, ${STRAIGHT} }, { ${ELLIPSE} } ] }`,
      /takes 3 turns.*Nearest: 12 or 15 turns/,
    ],
    [
      'an alternation shorter than a rotation',
      `- { alternate: ¦2 turns, do: [ { turns: 2, ${STRAIGHT} }, { ${ELLIPSE} } ] }`,
      /Nearest: 3 turns/,
    ],
    [
      'an alternation without turns',
      `- { alternate: ¦4 min, do: [ { ${STRAIGHT} }, { ${ELLIPSE} } ] }`,
      /unit of a duration/,
    ],
    ['no list at all', '¦polish', /A list of stints/],
  ])('%s', (_, list, message) => {
    const text = list === '¦polish' ? programText('').replace('do:\n', 'do: ¦polish') : programText(list);
    expectComplaints(text, message);
  });

  it('more turns altogether than a program may have', () => {
    const list = `- { turns: 15000, ${STRAIGHT} }\n- ¦{ repeat: 3, do: [ { turns: 2000, ${STRAIGHT} } ] }\n- { turns: 1, ${STRAIGHT} }`;
    expectComplaints(programText(list), /comes to 21000 turns; at most 20000/);
  });

  it('repeats that multiply beyond all bounds are counted, never unrolled', () => {
    const nested = Array.from({ length: 7 }).reduce<string>(
      (inner) => `{ repeat: 20000, do: [ ${inner} ] }`,
      `{ turns: 20000, ${STRAIGHT} }`,
    );
    expectComplaints(programText(`- ¦${nested}`), /more turns than can be counted/);
  });

  it('lists go eight deep at most', () => {
    const nested = (levels: number, place: string) =>
      Array.from({ length: levels }).reduce<string>(
        (inner, _, i) => `{ repeat: 1, do: ${i === 0 ? place : ''}[ ${inner} ] }`,
        `{ turns: 1, ${STRAIGHT} }`,
      );
    expect(read(programText(`- ${nested(7, '')}`)).complaints).toEqual([]);
    expectComplaints(programText(`- ${nested(8, '¦')}`), /8 deep at most/);
  });
});

it('says everything at once, in the order of the file', () => {
  expectComplaints(
    programText(
      [
        `- { turns: ¦2.5, stroke: straight, at: ¦90, length: 80 mm, ¦nugde: 3 }`,
        `- repeat: ¦two`,
        `  do:`,
        `    - { turns: 3, stroke: ¦oval, at: 90 mm, length: ¦80 deg }`,
        `- { alternate: 4 turns, ¦doo: [] }`,
      ].join('\n'),
      { glass: '¦mirror', turntable: '¦fast' },
    ).replace('- { alternate', '- ¦{ alternate'),
  );
});

it('text from the file comes back without control characters and short', () => {
  const { complaints } = read(programText(`- { turns: "\\e[31m${'x'.repeat(300)}", ${STRAIGHT} }`));
  expect(complaints).toHaveLength(1);
  expect(complaints[0]?.message.length).toBeLessThan(300);
  // biome-ignore lint/suspicious/noControlCharactersInRegex: their absence is what is tested
  expect(complaints[0]?.message).not.toMatch(/[\u0000-\u001f]/);
});
