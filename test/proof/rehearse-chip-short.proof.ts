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
  expect(JSON.parse(out)).toMatchObject(expected);
});

test('any other chip is refused', async () => {
  const { code, err } = await wholeturn(['rehearse', program, '--chip', 'atmega32u4'], home);
  expect(err).toContain('--chip is atmega2560 or atmega328p, not "atmega32u4".');
  expect(code).toBe(1);
});
