import { describe, it } from 'vitest';
import { CASES } from '../wire/conformance';
import { chipPort } from '../wire/conformance/chip-port';

describe.each(['reference', 'small'] as const)('the image of the %s board, emulated', (board) => {
  for (const { section, rule, run } of CASES) it(`${section}: ${rule}`, () => run(chipPort(board)));
});
