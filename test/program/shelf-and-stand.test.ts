import { describe, expect, it } from 'vitest';
import { readShelf } from '../../planner/shelf/read-shelf';
import { readStand } from '../../planner/stand/read-stand';
import { demoShelf, exampleText, marked, placesOf } from './reading';

describe('the demo shelf', () => {
  it('holds the glass of the examples', () => {
    expect(demoShelf().glasses['glass-300']).toMatchObject({
      id: 'glass-300',
      diameterMm: 300,
      bevelMm: 1,
      holeMm: 0,
      radiusOfCurvatureMm: 3000,
      conicConstant: -1,
      material: 'borosilicate',
      thicknessMm: 40,
    });
  });

  it('holds the two laps of the examples', () => {
    const { laps } = demoShelf();
    expect(laps['round-60']).toMatchObject({
      id: 'round-60',
      outline: { shape: 'round', diameterMm: 60 },
      facets: { pitchMm: 12, channelMm: 2, offsetXMm: 3, offsetYMm: 2 },
      load: { addedN: 3, lapWeightN: 1.8, armWeightN: 1.2 },
      rotation: 'driven',
    });
    expect(laps['star-80']).toMatchObject({
      outline: { shape: 'star', diameterMm: 80, points: 8, depthMm: 16 },
      facets: null,
    });
  });

  it('knows how long a slurry stays wet', () => {
    expect(demoShelf().slurries['cerium-fine']).toMatchObject({ id: 'cerium-fine', wetMinutes: 8 });
  });
});

it('the demo stand reads to its numbers', () => {
  expect(readStand(exampleText('stand.yaml'), 'stand.yaml')).toEqual({
    complaints: [],
    stand: {
      name: 'Demo stand',
      virtual: true,
      commissioned: false,
      tickHz: 40_000,
      rampSeconds: 0.5,
      lift: { travelSeconds: 0.8, timeoutSeconds: 3 },
      indexToleranceDeg: 0.5,
      hostSilentMs: 500,
      countdownSeconds: 3,
      axes: {
        turntable: { unit: 'turn', stepsPerUnit: 144_640.5, maxSpeed: 5 / 60, maxAcceleration: 0.6 },
        stroke: { unit: 'mm', stepsPerUnit: 40, maxSpeed: 400, maxAcceleration: 3000, min: -120, max: 120 },
        radial: { unit: 'mm', stepsPerUnit: 80, maxSpeed: 120, maxAcceleration: 1500, min: 0, max: 180 },
        lapTurn: { unit: 'turn', stepsPerUnit: 9600, maxSpeed: 1.5, maxAcceleration: 8 },
      },
    },
  });
});

describe('complaints about a shelf', () => {
  const lap = (changes: string) => `wholeturn: 1
laps:
  a:
    title: A
    outline: round
    diameter: 60 mm
    load: { added: 1 N, lapWeight: 0 N, armWeight: 0 N }
    pivotHeight: 5 mm
    friction: 0.3
    rotation: driven
${changes}`;
  const glass = (diameter: string, radius: string, rest: string) => `wholeturn: 1
glasses:
  g:
    title: G
    diameter: ${diameter}
    radiusOfCurvature: ${radius}
    conicConstant: 0
    material: x
    thickness: 20 mm
${rest}`;

  it.each([
    ['points on a round lap', lap('    points: ¦8\n'), /round lap has neither/],
    ['a star without points', lap('').replace('outline: round', 'outline: ¦star'), /needs both points and depth/],
    ['a star cut away', lap('    points: ¦8\n    depth: 30 mm\n').replace('round', 'star'), /nothing left/],
    ['half a point', lap('    points: ¦7.5\n    depth: 9 mm\n').replace('round', 'star'), /not a whole number/],
    ['channels without pitch', lap('    facets: ¦{ pitch: 4 mm, channel: 4 mm }\n'), /no pitch is left/],
    ['nothing that presses', lap('').replace('load: { added: 1 N', 'load: ¦{ added: 0 N'), /Nothing presses/],
    ['a load in kilograms', lap('').replace('added: 1 N', 'added: ¦1 kg'), /gives a mass/],
    ['friction with a unit', lap('').replace('friction: 0.3', 'friction: ¦0.3 N'), /not a plain number/],
    ['friction beyond sense', lap('').replace('friction: 0.3', 'friction: ¦30'), /at most 2/],
    ['a name with a space', lap('').replace('  a:', '  ¦my lap:'), /letters, digits/],
    ['two laps of one name', `${lap('')}  ¦a: { }\n`, /already given in line 3/],
    ['an unknown key', lap('    ¦colour: red\n'), /not known in a lap/],
    [
      'a clear aperture beyond the bevel',
      glass('200 mm', '2 m', '    clearAperture: ¦199 mm\n    bevel: 1 mm\n'),
      /wider than the face/,
    ],
    ['a bevel that leaves nothing', glass('200 mm', '2 m', '    bevel: ¦100 mm\n'), /leaves nothing of the face/],
    ['a hole that leaves nothing', glass('200 mm', '2 m', '    hole: ¦200 mm\n'), /hole leaves nothing/],
    ['a sphere smaller than its glass', glass('200 mm', '¦90 mm', ''), /ends before the rim/],
    ['a glass that is not concave', glass('200 mm', '¦-2 m', ''), /Only concave/],
    ['laps in a list', 'wholeturn: 1\nlaps: ¦[a]\n', /Wanted here: the laps/],
  ])('%s', (_, textWithMarks, message) => {
    const { text, places } = marked(textWithMarks);
    const { shelf, complaints } = readShelf(text, 'shelf.yaml');
    expect(shelf).toBeNull();
    expect(placesOf(complaints)).toEqual(places);
    expect(complaints[0]?.message).toMatch(message);
  });
});

describe('complaints about a stand', () => {
  const stand = (from: string, to: string) => exampleText('stand.yaml').replace(from, to);

  it.each([
    ['steps', stand('stroke: { steps: 40 /mm', 'stroke: ¦{ steps: 60 /mm'), /24000 steps a second.*at most 20000/],
    ['travel the wrong way round', stand('to: 120 mm', 'to: ¦-120 mm'), /larger than "from"/],
    ['a turntable in mm', stand('144640.5 /turn', '¦144640.5 /mm'), /steps in a length/],
    ['a lift stuck on its way', stand('{ travel: 0.8 s', '¦{ travel: 3.8 s'), /before it arrives/],
    ['a ramp longer than the controller has', stand('ramp: 0.5 s', 'ramp: ¦2 s'), /at least 0.05 s and at most 1.5 s/],
    ['a silence too short to tell', stand('hostSilent: 500 ms', 'hostSilent: ¦20 ms'), /at least 0.05 s/],
    ['a lift given more time than can be told', stand('timeout: 3 s', 'timeout: ¦90 s'), /at most 60 s/],
    ['yes instead of true', stand('virtual: true', 'virtual: ¦yes'), /true or false/],
    ['a mistyped axis', stand('  turntable:', '  ¦¦turntabel:'), /"turntable" is missing|Did you mean "turntable"/],
  ])('%s', (_, textWithMarks, message) => {
    const { text, places } = marked(textWithMarks);
    const read = readStand(text, 'stand.yaml');
    expect(read.stand).toBeNull();
    expect(placesOf(read.complaints)).toEqual(places);
    for (const complaint of read.complaints) expect(complaint.message).toMatch(message);
  });
});
