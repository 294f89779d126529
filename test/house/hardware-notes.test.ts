/** Pages of hardware-notes/ that say what code says too. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { PIN_PAGE, pinPage } from '../../firmware-host/controller/pin-page';
import { readPins } from '../../firmware-host/controller/pin-table';
import { CAUTIONS } from '../../planner/stand/cautions';

test('the page of pins is the pin table (else: npm run build)', () => {
  expect(readFileSync(PIN_PAGE, 'utf8')).toBe(pinPage(readPins()));
});

test('the page of cautions has every caution that is asked about', () => {
  const page = readFileSync(join(PIN_PAGE, '..', 'CAUTIONS.md'), 'utf8');
  for (const caution of CAUTIONS) expect(page).toContain(`- ${caution}\n`);
});

test('commissioning can be followed: a stand is declared before the first step that moves it, and judged in the last', () => {
  const page = readFileSync(join(PIN_PAGE, '..', 'COMMISSIONING.md'), 'utf8');
  const declared = page.indexOf('**Write `commissioned: true`');
  expect(declared).toBeGreaterThan(page.indexOf('`commissioned: false`'));
  expect(page.indexOf('wholeturn -- run ')).toBeGreaterThan(declared);
  const steps = [...page.matchAll(/^(\d+)\. (.*)$/gm)];
  expect(steps.map(([, number]) => Number(number))).toEqual(steps.map((_, i) => i + 1));
  expect(steps.at(-1)![2]).toMatch(/^Leave `commissioned: true` only when everything held/);
});
