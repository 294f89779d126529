/** A stand file that turns pins of its board round. */
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { z } from 'zod';
import { NEVER_TURNED, turnable } from '../../planner/stand/pins';
import { readStand, standSchema } from '../../planner/stand/read-stand';
import { exampleText, marked, placesOf } from './reading';

const withPins = (lines: string): string => `${exampleText('stand.yaml')}${lines}\n`;
const first = exampleText('stand.yaml').split('\n').length;

it('outputs are turned round by their names; the others stay', () => {
  const text = withPins('board: small\npins:\n  enable: high\n  direction.stroke: low');
  expect(readStand(text, 'stand.yaml').complaints).toEqual([]);
  expect(readStand(text, 'stand.yaml').stand).toMatchObject({
    board: 'small',
    pins: { enable: 'high', 'direction.stroke': 'low' },
  });
});

it('a mark may have a sensor that opens there', () => {
  const text = withPins('board: reference\npins:\n  index: open\n  lapTurnReference: open');
  const { stand, complaints } = readStand(text, 'stand.yaml');
  expect(complaints).toEqual([]);
  expect(stand?.pins).toEqual({ index: 'open', lapTurnReference: 'open' });
});

it('without them the stand is what it was', () => {
  const { stand } = readStand(exampleText('stand.yaml'), 'stand.yaml');
  expect(stand).not.toHaveProperty('pins');
  expect(stand).not.toHaveProperty('board');
});

describe('complaints, where they stand', () => {
  it.each([
    ['a board that is not said', 'pins: ¦{ enable: high }', /Which board has these pins\? Write "board: reference"/],
    ['a board that is not known', 'board: ¦big\npins: { enable: high }', /write reference or small/],
    ['a level that is none', 'board: small\npins:\n  enable: ¦on', /write high or low/],
    ['a level for a contact', 'board: small\npins:\n  index: ¦high', /write open or closed/],
    ['a contact for a level', 'board: small\npins:\n  enable: ¦open', /write high or low/],
    [
      'a mark that only the other board has',
      'board: small\npins:\n  ¦lapTurnReference: open',
      /is on the reference board only/,
    ],
    ['a list', 'board: small\npins: ¦[enable]', /written as keys with values/],
    ['a signal given twice', 'board: small\npins:\n  enable: high\n  ¦enable: low', /already given in line/],
    [
      'a mistyped signal',
      'board: small\npins:\n  ¦step.strok: low',
      /Did you mean "step.stroke"\? The small board has: enable,/,
    ],
    [
      'a spare axis on a board of four',
      'board: small\npins:\n  ¦step.spare: low',
      /is on the reference board only.*The small/,
    ],
    ['an accessory', 'board: small\npins:\n  ¦accessory1: low', /no pin that can be turned round/],
    ['a name out of the language', 'board: small\npins:\n  ¦toString: low', /no pin that can be turned round/],
  ])('%s', (_, lines, message) => {
    const { text, places } = marked(withPins(lines));
    const { stand, complaints } = readStand(text, 'stand.yaml');
    expect(stand).toBeNull();
    expect(placesOf(complaints)).toEqual(places);
    expect(complaints[0]!.message).toMatch(message);
  });

  it.each([
    ...['halt', 'guard', 'driveFault', 'strokeLow', 'strokeHigh', 'radialLow', 'radialHigh', 'limits'].map(
      (signal) => [signal, /an open wire would no longer stop the stand/] as const,
    ),
    ['liftUp', /an open wire would say that the lap is up/],
    ['liftDown', /an open wire would say that the lap is down/],
    ['freeOfGlass', /an open wire would say that the lap is free/],
    ['lower', /the lap would come down/],
  ] as const)('%s is refused with the reason, on either board and whatever is written', (signal, reason) => {
    expect(NEVER_TURNED).toHaveProperty(signal);
    for (const board of ['reference', 'small'])
      for (const level of ['low', 'high', 'closed']) {
        const { stand, complaints } = readStand(
          withPins(`board: ${board}\npins:\n  ${signal}: ${level}`),
          'stand.yaml',
        );
        expect(stand).toBeNull();
        expect(complaints).toEqual([
          {
            file: 'stand.yaml',
            line: first + 2,
            column: 3,
            field: `pins.${signal}`,
            message: expect.stringMatching(reason),
          },
        ]);
      }
  });
});

it('what no board turns round is told although the board is not said, and so is that', () => {
  const { text, places } = marked(withPins('pins: ¦{ ¦halt: low, enable: high }'));
  const { stand, complaints } = readStand(text, 'stand.yaml');
  expect(stand).toBeNull();
  expect(placesOf(complaints)).toEqual(places);
  expect(complaints[0]!.message).toMatch(/^Which board has these pins/);
  expect(complaints[1]!).toMatchObject({
    field: 'pins.halt',
    message: expect.stringMatching(/^"halt" may not be turned/),
  });
});

it('editors know every pin that can be turned round, and nothing else', () => {
  const schema = z.fromJSONSchema(standSchema() as never);
  const accepts = (lines: string): boolean => schema.safeParse(parse(withPins(lines))).success;
  const marks = ['index', 'lapTurnReference', 'turntableReference'];
  for (const signal of turnable('reference')) {
    const isMark = marks.includes(signal);
    expect(accepts(`board: reference\npins: { ${signal}: low }`)).toBe(!isMark);
    expect(accepts(`board: reference\npins: { ${signal}: open }`)).toBe(isMark);
  }
  expect(marks.every((signal) => turnable('reference').includes(signal))).toBe(true);
  for (const signal of ['halt', 'lower', 'step.x'])
    expect(accepts(`board: reference\npins: { ${signal}: low }`)).toBe(false);
  expect(accepts('board: reference\npins: { enable: on }')).toBe(false);
});
