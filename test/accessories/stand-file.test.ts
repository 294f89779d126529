import { expect, it } from 'vitest';
import { readStand } from '../../planner/stand/read-stand';
import { exampleText } from '../program/reading';

const withAccessories = (lines: string): string => `${exampleText('stand.yaml')}\naccessories:\n${lines}`;

it('accessories are read with their units', () => {
  const text = withAccessories(
    [
      '  slurry: { every: 10 min, pin: 42, dose: 1500 ms }',
      '  tower: { red: 43, yellow: 44, green: 45 }',
      '  buzzer: 46',
      '  footSwitch: 49',
      '  thermometers:',
      '    bath: { channel: 0, atZero: -58 F, atFull: 450 C, most: 26 C }',
      '  moisture:',
      '    felt: { channel: 1, atZero: 100 %, atFull: 0 %, least: 40 % }',
      '  flow:',
      '    pump: { channel: 2, atZero: 0, atFull: 12.5 }',
    ].join('\n'),
  );
  const { stand, complaints } = readStand(text, 'stand.yaml');
  expect(complaints).toEqual([]);
  expect(stand!.accessories).toEqual({
    slurry: { every: { count: 600, unit: 'seconds' }, pump: { pin: 42, doseSeconds: 1.5 } },
    tower: { red: 43, yellow: 44, green: 45 },
    buzzer: 46,
    footSwitch: 49,
    sensors: [
      { name: 'bath', rule: { measures: 'temperature', channel: 0, atZero: -50, atFull: 450, least: null, most: 26 } },
      { name: 'felt', rule: { measures: 'moisture', channel: 1, atZero: 1, atFull: 0, least: 0.4, most: null } },
      { name: 'pump', rule: { measures: 'flow', channel: 2, atZero: 0, atFull: 12.5, least: null, most: null } },
    ],
  });
});

it.each([
  ['slurry: { every: 40 strokes }', { count: 40, unit: 'strokes' }],
  ['slurry: { every: 3 turns }', { count: 3, unit: 'turns' }],
  ['slurry: { every: 90 s }', { count: 90, unit: 'seconds' }],
])('%s', (line, every) => {
  const { stand } = readStand(withAccessories(`  ${line}`), 'stand.yaml');
  expect(stand!.accessories!.slurry).toEqual({ every, pump: null });
});

it.each([
  ['slurry: { every: 40 }', /strokes, turns or a time/],
  ['slurry: { every: 3 mm }', /strokes, turns or a time/],
  ['slurry: { every: 3 turns, pin: 42 }', /both its pin and a dose/],
  ['buzzer: 4.5', /not a whole number/],
  ['buzzer: D46', /not a plain number/],
  ['tower: { red: 43, yellow: 43, green: 45 }', /Pin 43 is given to two accessories/],
  ['flow: { f: { channel: 0, atZero: 1, atFull: 1 } }', /every voltage would mean the same/],
  [
    'moisture: { m: { channel: 0, atZero: 0 %, atFull: 100 %, least: 50 %, most: 40 % } }',
    /"least" must be below "most"/,
  ],
  ['kettle: { pin: 3 }', /"kettle" is not known/],
])('%s is complained about where it stands', (line, message) => {
  const { stand, complaints } = readStand(withAccessories(`  ${line}`), 'stand.yaml');
  expect(stand).toBeNull();
  expect(complaints[0]!.message).toMatch(message);
  expect(complaints[0]!.line).toBe(exampleText('stand.yaml').split('\n').length + 2);
});
