/** The command line on each of the two images that are flashed. A whole example: test/proof/rehearse-chip.proof.ts. */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { writeShortProgram } from '../ci/short-stand';
import { wholeturn } from '../cli/support';

let home: string;
let program: string;
beforeAll(() => {
  home = mkdtempSync(join(tmpdir(), 'wholeturn-chip-'));
  program = writeShortProgram(home);
});
afterAll(() => rmSync(home, { recursive: true }));

test.each(['atmega2560', 'atmega328p'])('rehearse --chip %s ends where compile says', async (chip) => {
  const compiled = JSON.parse((await wholeturn(['compile', program, '--json'], home)).out);
  const { code, out, err } = await wholeturn(['rehearse', program, '--chip', chip, '--json'], home);
  expect(code, err).toBe(0);
  const { endSteps, travelSteps } = compiled;
  const expected = { state: 'Complete', turnsWalked: 2, endSteps, travelSteps, slipSteps: 0, underruns: 0 };
  const report = JSON.parse(out);
  expect(report).toMatchObject(expected);
  // Its steps wear a glass as those of the WebAssembly core do.
  const other = JSON.parse((await wholeturn(['rehearse', program, '--json'], home)).out);
  expect(report.virtualGlass.peakNm / other.virtualGlass.peakNm).toBeCloseTo(1, 3);
  expect(report.virtualGlass.atMm).toBe(other.virtualGlass.atMm);
});

test('any other chip is refused', async () => {
  const { code, err } = await wholeturn(['rehearse', program, '--chip', 'atmega32u4'], home);
  expect(err).toContain('--chip is atmega2560 or atmega328p, not "atmega32u4".');
  expect(code).toBe(1);
});
