/** A whole run on the image of a stand with pins turned round, each board: it ends where compile says. The pins themselves: test/ci/own-pins.test.ts. */
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { buildStandImage } from '../../firmware-host/controller/build';
import { ownImageFolder, standImage } from '../../firmware-host/controller/stand-image';
import type { OwnPins } from '../../planner/stand/pins';
import { STAND, writeShortProgram } from '../ci/short-stand';
import { wholeturn } from '../cli/support';

const PINS: OwnPins = {
  enable: 'high',
  'step.turntable': 'low',
  'step.radial': 'low',
  'direction.stroke': 'low',
  'direction.lapTurn': 'low',
  index: 'open',
};

let home: string;
let program: string;
beforeAll(() => {
  home = mkdtempSync(join(tmpdir(), 'wholeturn-own-pins-'));
  program = writeShortProgram(home);
});
afterAll(() => rmSync(home, { recursive: true }));

test.each([
  ['reference', 'atmega2560'],
  ['small', 'atmega328p'],
] as const)('the %s board', async (board, chip) => {
  const stand = join(home, `${board}.yaml`);
  writeFileSync(stand, `${STAND}board: ${board}\npins: ${JSON.stringify(PINS)}\n`);
  const args = ['rehearse', program, '--stand', stand, '--chip', chip, '--json'];
  const early = await wholeturn(args, home);
  expect(early.code).toBe(2);
  expect(early.err).toContain('Build it: npm run build -- --stand');
  buildStandImage(standImage(board, PINS), ownImageFolder(stand));
  const compiled = JSON.parse((await wholeturn(['compile', program, '--stand', stand, '--json'], home)).out);
  const { code, out, err } = await wholeturn(args, home);
  expect(code, err).toBe(0);
  const { endSteps, travelSteps } = compiled;
  const expected = { state: 'Complete', turnsWalked: 2, endSteps, travelSteps, slipSteps: 0, underruns: 0 };
  expect(JSON.parse(out)).toMatchObject(expected);
});
