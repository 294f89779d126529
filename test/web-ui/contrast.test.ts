/**
 * The tokens of the three looks against WCAG 2.2: text 4.5:1 (1.4.3), parts of controls and graphics 3:1 (1.4.11). Relative luminance and
 * ratio by the formulas of WCAG 2.2, "relative luminance" and "contrast ratio".
 */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';

const css = readFileSync(join(__dirname, '..', '..', 'web-ui', 'look', 'base.css'), 'utf8');

function tokens(look: string): Record<string, string> {
  const block = css.match(new RegExp(`:root\\[data-look="${look}"\\]\\s*\\{([^}]*)\\}`))?.[1] ?? '';
  return Object.fromEntries(
    [...block.matchAll(/--([\w-]+):\s*(#[0-9a-f]{6});/g)].map(([, name, hex]) => [name!, hex!]),
  );
}

function luminance(hex: string): number {
  const [r, g, b] = [1, 3, 5].map((at) => {
    const channel = Number.parseInt(hex.slice(at, at + 2), 16) / 255;
    return channel <= 0.04045 ? channel / 12.92 : ((channel + 0.055) / 1.055) ** 2.4;
  }) as [number, number, number];
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}

function ratio(a: string, b: string): number {
  const [light, dark] = [luminance(a), luminance(b)].sort((x, y) => y - x) as [number, number];
  return (light + 0.05) / (dark + 0.05);
}

const TEXT: [string, string][] = [
  ['ink', 'paper'],
  ['ink', 'sheet'],
  ['ink', 'notice'],
  ['ink-soft', 'paper'],
  ['ink-soft', 'sheet'],
  ['accent-ink', 'accent'],
  ['paper', 'ink'],
  ['ink', 'glass'],
];
const GRAPHICS: [string, string][] = [
  ['trail', 'glass'],
  ['ink', 'glass'],
  ['lap', 'paper'],
  ['warm', 'paper'],
  ['focus', 'paper'],
  ['focus', 'sheet'],
  // The cut on the Plan page: curves in the glass, and in the paper where the glass is gone.
  ['trail', 'glass-deep'],
  ['ink', 'glass-deep'],
  ['warm', 'glass'],
  ['warm', 'glass-deep'],
  ['trail', 'paper'],
  ['accent', 'paper'],
  ['ink-soft', 'paper'],
];

test('the formula gives 21:1 for black on white', () => {
  expect(ratio('#000000', '#ffffff')).toBeCloseTo(21, 10);
});

describe.each(['light', 'dark', 'red'])('the %s look', (look) => {
  const of = tokens(look);
  test.each(TEXT)('text %s on %s', (ink, ground) => {
    expect(ratio(of[ink]!, of[ground]!)).toBeGreaterThanOrEqual(4.5);
  });
  test.each(GRAPHICS)('graphics %s on %s', (ink, ground) => {
    expect(ratio(of[ink]!, of[ground]!)).toBeGreaterThanOrEqual(3);
  });
});

test('the dim red look is red only, and dim', () => {
  for (const [name, hex] of Object.entries(tokens('red'))) {
    const [r, g, b] = [1, 3, 5].map((at) => Number.parseInt(hex.slice(at, at + 2), 16)) as [number, number, number];
    expect(g, name).toBeLessThanOrEqual(0.45 * r);
    expect(b, name).toBeLessThanOrEqual(0.45 * r);
  }
  expect(luminance(tokens('red').paper!)).toBeLessThan(0.002);
});
