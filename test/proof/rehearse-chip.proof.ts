/** A whole example on each of the two images that are flashed: minutes of emulated chip. A shorter one: test/proof/rehearse-chip-short.proof.ts. */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { wholeturn } from '../cli/support';

const EXAMPLE = join(__dirname, '..', '..', 'planner', 'examples', 'short-check.yaml');

let home: string;
beforeAll(() => {
  home = mkdtempSync(join(tmpdir(), 'wholeturn-chip-'));
});
afterAll(() => rmSync(home, { recursive: true }));

test.each(['atmega2560', 'atmega328p'])('rehearse --chip %s ends where compile says', async (chip) => {
  const compiled = JSON.parse((await wholeturn(['compile', EXAMPLE, '--json'], home)).out);
  const { code, out, err } = await wholeturn(['rehearse', EXAMPLE, '--chip', chip, '--json'], home);
  expect(code, err).toBe(0);
  const { endSteps, travelSteps } = compiled;
  const expected = { state: 'Complete', turnsWalked: 4, endSteps, travelSteps, slipSteps: 0, underruns: 0 };
  expect(JSON.parse(out)).toMatchObject(expected);
});
